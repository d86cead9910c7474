"""The commands' part in printing: the paper options, and the command print. Rooms are imported inside, as in `cli`."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from planner.printer import Printer

Command = TypeVar("Command", bound=Callable[..., Any])

_OPTIONS = (
    click.option("--paper", metavar="NAME", default=None,
                 help='plotter (as large as the sheet), A4, A3, Letter, Tabloid ..., or a size like "13 x 19 in".'),
    click.option("--margin", metavar="LENGTH", default=None, help="Edge of the paper that the printer leaves white."),
    click.option("--overlap", metavar="LENGTH", default=None, help="How far tiles run on below each other, for glue."),
    click.option("--measured-x", metavar="LENGTH", default=None,
                 help='What rule X of 10 in measured on an unstretched page, like 9.97in, or "6.98in of 7in".'),
    click.option("--measured-y", metavar="LENGTH", default=None, help="What rule Y measured."),
)  # fmt: skip


def paper_options(command: Command) -> Command:
    """Give a command the options about paper; each goes before what the house file says of its printer."""
    for option in reversed(_OPTIONS):
        command = option(command)
    return command


def printer_for(printer: Printer, given: Mapping[str, str | None]) -> Printer:
    """Give the house's printer with what the options say instead, checked.

    Raises:
        InputError: an option cannot be read, or the paper does not serve.
    """
    from pydantic import ValidationError  # noqa: PLC0415

    from planner.forms import InputError, problems_of  # noqa: PLC0415
    from planner.paper.tiling import check_paper  # noqa: PLC0415
    from planner.printer import Printer  # noqa: PLC0415

    said = {key: text for key, text in given.items() if text is not None}
    try:
        read = Printer.model_validate(said)
    except ValidationError as error:
        raise InputError("", problems_of(error, Printer, lambda path: f"--{path[0]}".replace("_", "-"))) from None
    found = printer.model_copy(update={key: getattr(read, key) for key in said})
    check_paper(found)
    return found


def pdf_files(sheets: Mapping[str, str], printer: Printer) -> dict[str, bytes]:
    """Make PDFs of drawn sheets by file name; says on stderr which signs no font of this machine has."""
    from planner.paper.printing import print_sheets, unshown_words  # noqa: PLC0415

    printed = print_sheets(sheets, printer)
    if words := unshown_words(printed):
        click.echo(f"flatwright: {words}", err=True)
    return {one.name: one.content for one in printed}


@click.command("print")
@click.argument("plan_path", metavar="PLAN", type=click.Path(path_type=Path))
@click.option("--house", "house_path", type=click.Path(path_type=Path),
              help="House file that says what its printer is; the defaults if left out.")  # fmt: skip
@click.option("--out", "folder", type=click.Path(path_type=Path, file_okay=False), default=None,
              help="Folder for the PDF files; beside the plan if left out. Other files in it stay.")  # fmt: skip
@click.option("--sheets", "patterns", metavar="PATTERN", multiple=True,
              help="Only sheets named so, like flat-01-stripper or flat-01-*; may be given several times.")  # fmt: skip
@paper_options
@click.option("--json", "as_json", is_flag=True, help="Print the result as JSON.")
def print_command(
    plan_path: Path, house_path: Path | None, folder: Path | None, patterns: tuple[str, ...], as_json: bool,
    **paper: str | None,
) -> None:  # fmt: skip
    """Print the sheets of a plan at true size: one PDF for each, for a plotter or tiled over small paper.

    \b
    Examples:
      flatwright print monday/plan.json --sheets "flat-01-*" --paper Letter
      flatwright print monday/plan.json --measured-x 9.97in --measured-y 10.02in
    """
    from planner.house import read_house  # noqa: PLC0415
    from planner.paper.printing import chosen, print_sheets, printed_table, printed_words, unshown_words  # noqa: PLC0415
    from planner.plan import read_plan  # noqa: PLC0415
    from planner.reading import read_all  # noqa: PLC0415
    from planner.sheets.folder import sheet_files  # noqa: PLC0415
    from planner.writing import write_beside  # noqa: PLC0415

    plan, printer = read_all(
        lambda: read_plan(plan_path), lambda: printer_for(read_house(house_path).printer, paper)
    )  # fmt: skip
    place = plan_path.parent if folder is None else folder
    printed = print_sheets(chosen(sheet_files(plan), patterns), printer)
    write_beside(place, {one.name: one.content for one in printed})
    if words := unshown_words(printed):
        click.echo(f"flatwright: {words}", err=True)
    if as_json:
        click.echo(json.dumps(printed_table(printed, printer, place), indent=2))
    else:
        click.echo("\n".join([f"{printer.paper} paper, in {place}:", *(f"  {printed_words(one)}" for one in printed)]))
