"""``easelside`` and ``python -m app``: a command when one is named, else the window."""

import sys
from collections.abc import Sequence


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command (``check``, ``demo``) or open the window; give back the exit code."""
    given = list(sys.argv[1:] if arguments is None else arguments)
    from app import cli

    if given and (given[0] in cli.COMMANDS or given[0] in {"-h", "--help", "--version"}):
        return cli.run(given)
    return cli.open_window(given)


if __name__ == "__main__":
    sys.exit(main())
