"""``python -m appliance`` is the command ``fieldmouse``."""

import sys

from appliance.cli import main

if __name__ == "__main__":
    sys.exit(main())
