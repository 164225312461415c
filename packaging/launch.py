"""Set Easelside up and open it on the demo painting: ``python3 packaging/launch.py``.

With no display the demo painting is checked headless instead, and the place of the printed sheet is told.
"""

import os
import subprocess
import sys

from environment import (
    QT_LIBRARIES,
    ROOT,
    WINDOW_LIBRARIES,
    SetUpError,
    bring_packages,
    has_display,
    prepare,
    say,
)


def main() -> int:
    try:
        python = prepare(".venv", "lock.txt", install_project=False)
        if has_display():
            bring_packages(QT_LIBRARIES | WINDOW_LIBRARIES)
    except SetUpError as trouble:
        print(trouble, file=sys.stderr)
        return 2
    if has_display():
        say("opening the demo painting")
        return subprocess.run([str(python), "-m", "app", "--demo", *sys.argv[1:]], cwd=ROOT, check=False).returncode
    out = ROOT / "demo-out"
    say("no display here: checking the demo painting without a window")
    code = subprocess.run(
        [str(python), "-m", "app", "demo", "--out", str(out)], cwd=ROOT, check=False, env=os.environ.copy()
    ).returncode
    if code == 0:
        say(f"the printed sheet lies in {out / 'check.pdf'}")
    return code


if __name__ == "__main__":
    sys.exit(main())
