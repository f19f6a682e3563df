"""`python -m offgrid_sizing` is the same as the `offgrid-sizing` command."""

from offgrid_sizing.cli import main

if __name__ == "__main__":
    main()
