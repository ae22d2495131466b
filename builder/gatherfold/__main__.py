"""``python -m gatherfold`` and the ``gatherfold`` command."""

from gatherfold.cli import main

if __name__ == "__main__":
    raise SystemExit(main())
