"""``python -m planner`` is the command ``flatwright``."""

from planner.cli import main

main(prog_name="flatwright")
