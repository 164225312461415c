"""The way into the bundled program. ``--try-window`` is the bundle's own trial of itself; all else is Easelside's."""

# ruff: noqa: PLC0415 (nothing is loaded before the window that it does not load itself)

import sys

TRIAL = "--try-window"


def main() -> int:
    if sys.argv[1:2] == [TRIAL]:
        from trial import try_window

        return try_window()
    from app.__main__ import main as easelside

    return easelside()


if __name__ == "__main__":
    sys.exit(main())
