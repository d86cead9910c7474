"""The command that shows the rack. Rooms are imported inside the command, as in `planner.cli`."""

from __future__ import annotations

import json
from pathlib import Path

import click


@click.command()
@click.argument("rack_path", metavar="RACK", type=click.Path(path_type=Path))
@click.option("--history", is_flag=True, help="Say too who took and added what, from the beginning.")
@click.option(
    "--forget",
    metavar="DAY",
    default=None,
    help="Take back the last plan of a day that was planned but not worked, and write the rack anew.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the result as JSON.")
def rack(rack_path: Path, history: bool, forget: str | None, as_json: bool) -> None:
    """Show what lies on the rack.

    \b
    Example:
      flatwright rack rack.toml --history
    """
    from planner.rack.days import forgotten  # noqa: PLC0415
    from planner.rack.keeping import write_rack  # noqa: PLC0415
    from planner.rack.reading import read_rack  # noqa: PLC0415
    from planner.rack.telling import rack_lines, rack_table  # noqa: PLC0415
    from planner.reading import read_text  # noqa: PLC0415

    read_text(rack_path)  # only a plan begins a rack that is not there
    found = read_rack(rack_path)
    if forget is not None:
        found = forgotten(found, forget)
        write_rack(rack_path, found)
    click.echo(json.dumps(rack_table(found), indent=2) if as_json else "\n".join(rack_lines(found, history)))
