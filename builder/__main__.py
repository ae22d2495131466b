"""``python -m builder`` and the ``gatherfold`` command."""

from builder.cli import main

if __name__ == "__main__":
    raise SystemExit(main())
