"""What a service costs and when things came up, from /proc, the service manager and its journal."""

import json
import subprocess
from pathlib import Path
from typing import Any


def run(command: list[str] | str, timeout: float = 60, user: str | None = None) -> dict[str, Any]:
    """Run a command, a shell's when it is one text; its code and both outputs."""
    words = ["/bin/sh", "-c", command] if isinstance(command, str) else command
    try:
        done = subprocess.run(
            words, stdin=subprocess.DEVNULL, capture_output=True, timeout=timeout, check=False, user=user,
            extra_groups=_groups(user) if user else None, group=user,
        )  # fmt: skip
    except subprocess.TimeoutExpired:
        return {"code": None, "out": "", "err": f"still running after {timeout} s, killed"}
    out, err = (data.decode(errors="replace") for data in (done.stdout, done.stderr))
    return {"code": done.returncode, "out": out, "err": err}


def _groups(user: str) -> list[str]:
    import grp

    return [g.gr_name for g in grp.getgrall() if user in g.gr_mem]


def show(unit: str | None = None, *names: str) -> dict[str, str]:
    """Properties of a unit, or of the manager itself when ``unit`` is None or empty."""
    words = ["systemctl", "show", *(f"-p{name}" for name in names), *([unit] if unit else [])]
    lines = subprocess.run(words, capture_output=True, text=True, check=True).stdout.splitlines()
    return dict(line.split("=", 1) for line in lines if "=" in line)


def unit(unit: str, names: list[str]) -> dict[str, str]:
    """The properties ``names`` of ``unit``."""
    return show(unit, *names)


def cost(unit: str) -> dict[str, Any]:
    """CPU seconds, context switches, threads and resident kB of all processes of a unit together.

    CPU seconds are the scheduler's own (schedstat, ns) over the tasks alive now.
    """
    group = show(unit, "ControlGroup")["ControlGroup"]
    pids = [int(word) for word in Path(f"/sys/fs/cgroup{group}/cgroup.procs").read_text().split()] if group else []
    total: dict[str, Any] = {"pids": pids, "cpu": 0.0, "voluntary": 0, "other": 0, "threads": 0, "resident": 0}
    for pid in pids:
        total["resident"] += int(_status(Path(f"/proc/{pid}/status")).get("VmRSS", "0 kB").split()[0])
        for task in Path(f"/proc/{pid}/task").iterdir():
            status = _status(task / "status")
            total["cpu"] += int((task / "schedstat").read_text().split()[0]) / 1e9
            total["voluntary"] += int(status["voluntary_ctxt_switches"])
            total["other"] += int(status["nonvoluntary_ctxt_switches"])
            total["threads"] += 1
    return total


def _status(path: Path) -> dict[str, str]:
    return {name: value.strip() for name, _, value in (line.partition(":") for line in path.read_text().splitlines())}


def journal(unit: str | None = None, boot: int = 0, match: list[str] | None = None) -> list[dict[str, Any]]:
    """The journal's entries: monotonic seconds, unit, who, priority and message."""
    words = ["journalctl", "-o", "json", f"-b{boot}", "--no-pager", *(["-u", unit] if unit else []), *(match or [])]
    lines = subprocess.run(words, capture_output=True, text=True, check=False).stdout.splitlines()
    return [_entry(json.loads(line)) for line in lines]


def _entry(entry: dict[str, Any]) -> dict[str, Any]:
    message = entry.get("MESSAGE", "")
    return {
        "at": int(entry["__MONOTONIC_TIMESTAMP"]) / 1e6,
        "unit": entry.get("_SYSTEMD_UNIT") or entry.get("UNIT"),
        "who": entry.get("SYSLOG_IDENTIFIER"),
        "priority": int(entry.get("PRIORITY", 6)),
        "message": message if isinstance(message, str) else bytes(message).decode(errors="replace"),
    }


def boot_times(units: list[str]) -> dict[str, float]:
    """Seconds of the monotonic clock: the manager's start, its end of start-up, and when each unit became active.

    A thing that has not happened yet is 0.
    """
    manager = show(None, "UserspaceTimestampMonotonic", "FinishTimestampMonotonic")
    times = {
        "userspace": int(manager["UserspaceTimestampMonotonic"]),
        "finished": int(manager["FinishTimestampMonotonic"]),
    }
    for name in units:
        times[name] = int(show(name, "ActiveEnterTimestampMonotonic").get("ActiveEnterTimestampMonotonic", "0"))
    return {name: micro / 1e6 for name, micro in times.items()}
