"""``python -m tests.benchmarks``: every figure as a ratio in one run, with the machine and interpreter named."""

import importlib
import os
import platform
import sys
from pathlib import Path

HERE = Path(__file__).parent


def _processor() -> str:
    try:
        lines = Path("/proc/cpuinfo").read_text(encoding="utf-8").splitlines()
    except OSError:
        lines = []
    names = [line.partition(":")[2].strip() for line in lines if line.startswith("model name")]
    return f"{names[0] if names else platform.machine()}, {os.cpu_count()} cores"


def main() -> int:
    """Print a table of what was measured and the goal; benchmarks named on the command line only, else all."""
    wanted = sys.argv[1:] or sorted(path.stem for path in HERE.glob("*.py") if not path.stem.startswith("_"))
    print(f"{_processor()}; Python {platform.python_version()}; {platform.system()} {platform.release()}")
    for name in wanted:
        for what, measured, goal in importlib.import_module(f"tests.benchmarks.{name}").rows():
            print(f"{name:10} {what:64} {measured:>24}   goal {goal}", flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
