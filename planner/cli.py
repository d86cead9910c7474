"""The command line: parse, call, print. Rooms are imported inside the commands, so that ``--help`` is instant."""

from __future__ import annotations

import contextlib
import io
import json
import signal
import sys
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING, Any, NoReturn

import click

from planner.cli_estimate import account, actual, compare, quote
from planner.cli_print import paper_options, pdf_files, print_command, printer_for
from planner.cli_rack import rack

if TYPE_CHECKING:
    from collections.abc import Iterator
    from concurrent.futures import Executor

    from planner.nesting import Progress
    from planner.plan import Plan

CLUSTER_WAIT = "10s"
"""How long a cluster's scheduler may take to answer."""

PLANNED, TO_CURE, BAD_INPUT, INTERRUPTED = 0, 1, 2, 130
"""Exit codes: planned; planned, with findings to cure first; input that cannot be used; stopped by Ctrl-C."""


class _Commands(click.Group):
    """The command group; says what is wrong with an input in one sentence a problem and exits with 2."""

    def invoke(self, ctx: click.Context) -> Any:  # noqa: ANN401 - click's own signature
        from planner.forms import InputError  # noqa: PLC0415

        try:
            return super().invoke(ctx)
        except InputError as error:
            click.echo("\n".join(f"flatwright: {line}" for line in error.lines), err=True)
            ctx.exit(BAD_INPUT)
        except KeyboardInterrupt:
            click.echo("flatwright: interrupted; nothing was written", err=True)
            ctx.exit(INTERRUPTED)
        except BrokenPipeError:
            raise  # click ends quietly when nobody reads any more
        except OSError as error:
            click.echo(f"flatwright: cannot go on: {error.strerror or error}", err=True)
            ctx.exit(BAD_INPUT)


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="flatwright")
def main() -> None:
    """Plan a day of relief plates: flats, findings, router zones, metal account and true-size sheets.

    Exit codes: 0 planned; 1 planned, but findings must be cured first; 2 bad input or usage, nothing written.
    """
    signal.signal(signal.SIGTERM, _end)
    for stream in (sys.stdout, sys.stderr):
        # A terminal that cannot show a letter gets its escape instead of a traceback.
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


def _end(number: int, frame: FrameType | None) -> NoReturn:
    """Leave the way Ctrl-C does, so that nothing half-written stays behind."""
    raise SystemExit(128 + number)


_HOUSE = click.option(
    "--house", "house_path", type=click.Path(path_type=Path), help="House file; its defaults if left out."
)
_RULE = click.option(
    "--rule", "rule_files", metavar="FILE", type=click.Path(path_type=Path), multiple=True,
    help="A Python file that holds a further house rule; may be given several times.",
)  # fmt: skip
_JSON = click.option("--json", "as_json", is_flag=True, help="Print the result as JSON.")


@main.command()
@click.argument("orders_path", metavar="ORDERS", type=click.Path(path_type=Path))
@_HOUSE
@click.option("--out", "folder", type=click.Path(path_type=Path), default=Path("out"), show_default=True,
              help="Folder for the plan and its sheets.")  # fmt: skip
@click.option("--seed", type=click.IntRange(0, 2**31 - 1), default=0, show_default=True, help="Seed of the search.")
@click.option("--iterations", type=click.IntRange(0, 10_000_000), default=None, help="Rounds of the search at most.")
@click.option("--seconds", type=click.FloatRange(0, 86_400), default=None,
              help="Stop the search after this time; the result may then differ from run to run.")  # fmt: skip
@click.option("--workers", type=click.IntRange(1, 64), default=1, show_default=True,
              help="Searches to run side by side, each with a seed of its own.")  # fmt: skip
@click.option("--cluster", metavar="ADDRESS", default=None,
              help="Run the workers on a dask cluster: its scheduler's address. Needs the extra cluster.")  # fmt: skip
@click.option("--onto", metavar="PLAN", type=click.Path(path_type=Path), default=None,
              help="Lay these orders into the open space of an earlier plan.json; nothing in it is moved.")  # fmt: skip
@click.option("--finished", metavar="FLAT", type=click.IntRange(1), multiple=True,
              help="With --onto: a flat that takes nothing more; may be given several times.")  # fmt: skip
@click.option(
    "--rack",
    "rack_path",
    metavar="RACK",
    type=click.Path(path_type=Path),
    default=None,
    help="Use the offcuts of this rack file, and write back what is used and what is new.",
)
@click.option(
    "--day",
    metavar="NAME",
    default=None,
    help="With --rack: what the rack calls this day; the orders' title or the file's name if left out.",
)
@_RULE
@click.option("--dxf", is_flag=True, help="Write the router's zones and paths as DXF too, for a machine.")
@click.option("--pdf", is_flag=True, help="Write the sheets as PDF too, at true size on the house's paper.")
@paper_options
@_JSON
@click.pass_context
def plan(
    ctx: click.Context, /, orders_path: Path, house_path: Path | None, folder: Path, seed: int, iterations: int | None,
    seconds: float | None, workers: int, cluster: str | None, onto: Path | None, finished: tuple[int, ...],
    rack_path: Path | None, day: str | None, rule_files: tuple[Path, ...], dxf: bool, pdf: bool, as_json: bool,
    **paper: str | None,
) -> None:  # fmt: skip
    """Plan the orders of a day and write plan.json and the sheets of every flat.

    \b
    Example:
      flatwright plan monday.toml --house our-house.toml --out monday
    """
    from planner.crew import processes_here  # noqa: PLC0415
    from planner.flats import Search  # noqa: PLC0415
    from planner.house import read_house  # noqa: PLC0415
    from planner.late import add_to_plan  # noqa: PLC0415
    from planner.orders import read_orders  # noqa: PLC0415
    from planner.page.assembly import PAGE, page_text  # noqa: PLC0415
    from planner.plan import read_plan  # noqa: PLC0415
    from planner.planning import make_plan, stopping  # noqa: PLC0415
    from planner.progress import progress_told  # noqa: PLC0415
    from planner.rack.use import RackUse  # noqa: PLC0415
    from planner.reading import read_all  # noqa: PLC0415
    from planner.rules import rules_for  # noqa: PLC0415
    from planner.sheets.folder import sheet_files  # noqa: PLC0415
    from planner.summary import summary_lines, summary_table  # noqa: PLC0415
    from planner.writing import check_folder  # noqa: PLC0415

    if finished and onto is None:
        raise click.UsageError("--finished is for a plan that is added to; give --onto as well.")
    orders, house, earlier = read_all(
        lambda: read_orders(orders_path),
        lambda: read_house(house_path),
        lambda: None if onto is None else read_plan(onto),
    )
    if any(paper.values()) and not pdf:
        raise click.UsageError("Paper is for PDF files; give --pdf as well.")
    printer = printer_for(house.printer, paper) if pdf else None
    check_folder(folder)
    use = RackUse(rack_path, day, folder, orders, orders_path.stem, house, earlier, onto, finished)
    rules = rules_for(house, house_path, rule_files)
    with _executor(cluster) as executor, progress_told() as told:
        search = Search(
            seed=seed,
            iterations=Search().iterations if iterations is None else iterations,
            seconds=seconds,
            workers=workers,
            progress=None if told is None else lambda state: told(_progress_words(state)),
            executor=executor,
        )
        if earlier is None:
            made = make_plan(orders, use.house, rules, search, processes_here())
        else:
            made = add_to_plan(earlier, orders, use.house, rules, search, finished, processes_here(), use.gone)
    made = use.named(made)
    sheets = {**sheet_files(made), **use.pages(made)}
    files: dict[str, str | bytes] = {"plan.json": use.text(made), PAGE: page_text(made, sheets), **sheets}
    files |= _dxf(made) if dxf else {}
    files |= pdf_files(sheets, printer) if printer else {}
    use.write(files)
    if as_json:
        click.echo(json.dumps(summary_table(made, folder, sorted(files)), indent=2))
    else:
        click.echo("\n".join([*summary_lines(made, folder, sorted(files)), *use.lines()]))
    ctx.exit(TO_CURE if any(stopping(made)) else PLANNED)


def _dxf(plan: Plan) -> dict[str, str]:
    from planner.machine.dxf import dxf_files  # noqa: PLC0415 - only who asks for DXF waits for its library

    return dxf_files(plan)


@contextlib.contextmanager
def _executor(address: str | None) -> Iterator[Executor | None]:
    """The executor of a running cluster; None for this machine's own processes."""
    if address is None:
        yield None
        return
    try:
        from distributed import Client  # noqa: PLC0415
    except ImportError:
        raise click.UsageError('--cluster needs the extra: pip install "flatwright[cluster]"') from None
    try:
        client = Client(address, timeout=CLUSTER_WAIT, set_as_default=False)  # type: ignore[no-untyped-call]  # no types in it
    except (OSError, ValueError) as error:
        raise click.UsageError(f"--cluster: no scheduler answers at {address}: {error}") from None
    with client:
        yield client.get_executor()  # type: ignore[no-untyped-call]  # no types in it


def _progress_words(state: Progress) -> str:
    return f"{state.iterations} rounds, {state.sheets} flats, {state.seconds:.1f} s"


@main.command()
@click.option("--copy-width", help="Width of the copy, with its unit.")
@click.option("--copy-height", help="Height of the copy.")
@click.option("--plate-width", help="Width of the plate.")
@click.option("--plate-height", help="Height of the plate.")
@click.option("--percentage", help='Linear: "66.7 %" or "1/3 off".')
def scale(
    copy_width: str | None, copy_height: str | None, plate_width: str | None, plate_height: str | None,
    percentage: str | None,
) -> None:  # fmt: skip
    """Answer the slide-rule question: copy size, plate size, percentage; give three, get the rest.

    \b
    Example:
      flatwright scale --copy-width "10 in" --copy-height "8 in" --plate-width "6 in"
    """
    from planner.lengths import LengthError, parse_length, size_text  # noqa: PLC0415
    from planner.proportion import ProportionError, parse_percentage, solve  # noqa: PLC0415

    given = {"--copy-width": copy_width, "--copy-height": copy_height, "--plate-width": plate_width,
             "--plate-height": plate_height}  # fmt: skip
    sides: list[float | None] = []
    for option, text in given.items():
        try:
            sides.append(None if text is None else parse_length(text))
        except LengthError as error:
            raise click.UsageError(f"{option}: {error}") from None
    try:
        answer = solve(
            sides[0], sides[1], sides[2], sides[3], None if percentage is None else parse_percentage(percentage)
        )
    except ProportionError as error:
        raise click.UsageError(str(error)) from None
    click.echo(f"copy  {size_text(answer.copy_width, answer.copy_height)}")
    click.echo(f"plate {size_text(answer.plate_width, answer.plate_height)}"
               f"  (exactly {answer.plate_width:.4f} x {answer.plate_height:.4f} in)")  # fmt: skip
    click.echo(f"{answer.percentage:.2f} % of the length, {answer.percentage**2 / 100:.2f} % of the area")


@main.command()
@click.argument("plan_path", metavar="PLAN", type=click.Path(path_type=Path))
@_JSON
@click.pass_context
def proof(ctx: click.Context, plan_path: Path, as_json: bool) -> None:
    """Re-check a plan.json, and the sheets beside it, with code that shares nothing with what made them.

    Exit codes: 0 clean; 1 violations; 2 no plan.
    """
    from planner.plan import read_plan  # noqa: PLC0415
    from planner.proof import prove  # noqa: PLC0415

    result = prove(read_plan(plan_path), plan_path.resolve().parent)
    if as_json:
        checks = [
            {"name": check.name, "count": check.count, "violations": list(check.violations)} for check in result.checks
        ]
        click.echo(json.dumps({"format": "flatwright proof 1", "clean": result.clean, "checks": checks}, indent=2))
    else:
        for check in result.checks:
            click.echo(f"{'clean   ' if check.clean else 'VIOLATED'}  {check.name}: {check.count} {check.what}")
            for violation in check.violations:
                click.echo(f"          {violation}")
        click.echo("The plan is proven clean." if result.clean else "The plan must not be used.")
    ctx.exit(0 if result.clean else 1)


@main.command()
@_HOUSE
@_RULE
def house(house_path: Path | None, rule_files: tuple[Path, ...]) -> None:
    """Print the house file in force, with comments, ready to edit.

    \b
    Example:
      flatwright house > our-house.toml
    """
    from planner.house import read_house  # noqa: PLC0415
    from planner.house_text import house_text  # noqa: PLC0415
    from planner.rules import rules_for  # noqa: PLC0415

    in_force = read_house(house_path)
    click.echo(house_text(in_force, rules_for(in_force, house_path, rule_files)), nl=False)


@main.command()
@click.argument("words", metavar="[NAME | new NAME]", nargs=-1)
@_HOUSE
@_RULE
@click.option("--folder", type=click.Path(path_type=Path, file_okay=False), default=Path(),
              help="With new: where the rule's folder is made; here if left out.")  # fmt: skip
@_JSON
def rules(
    words: tuple[str, ...], house_path: Path | None, rule_files: tuple[Path, ...], folder: Path, as_json: bool
) -> None:
    """List the house rules in the order in which they are called; show one; or begin a new one.

    \b
    Examples:
      flatwright rules
      flatwright rules square-bevel
      flatwright rules new corner-tabs
    """
    from planner.house import read_house  # noqa: PLC0415
    from planner.rules import rules_for  # noqa: PLC0415
    from planner.rules.showing import rule_lines, rule_table, rules_lines, rules_table  # noqa: PLC0415
    from planner.rules.skeleton import begin_rule  # noqa: PLC0415

    if words[:1] == ("new",):
        if len(words) != 2:
            raise click.UsageError("Give the new rule one name, like: flatwright rules new corner-tabs.")
        click.echo("\n".join(begin_rule(words[1], folder)))
        return
    if len(words) > 1:
        raise click.UsageError("Name one rule, or none for the list of all.")
    loaded = rules_for(read_house(house_path), house_path, rule_files)
    if as_json:
        click.echo(json.dumps(rule_table(loaded, words[0]) if words else rules_table(loaded), indent=2))
    else:
        click.echo("\n".join(rule_lines(loaded, words[0]) if words else rules_lines(loaded)))


@main.command()
@click.argument("plate")
@click.option("--plan", "plan_path", metavar="PLAN", type=click.Path(path_type=Path), default=Path("out/plan.json"),
              show_default=True, help="The plan that it is in.")  # fmt: skip
@_JSON
def why(plate: str, plan_path: Path, as_json: bool) -> None:
    """Say why a plate needs the metal it needs, what it shares a flat with, and what was found; and who says so.

    PLATE is its id, or a part of it that only one plate has.

    \b
    Example:
      flatwright why 4101/Map --plan monday/plan.json
    """
    from planner.plan import read_plan  # noqa: PLC0415
    from planner.reasons import reason_lines, reason_table  # noqa: PLC0415

    made = read_plan(plan_path)
    if as_json:
        click.echo(json.dumps(reason_table(made, plate, str(plan_path)), indent=2))
    else:
        click.echo("\n".join(reason_lines(made, plate, str(plan_path))))


@main.command()
@click.argument("name", type=click.Choice(["order", "house", "plan", "rack", "sizes"]), required=False)
@click.option("--write", "folder", type=click.Path(path_type=Path, file_okay=False, exists=True),
              help="Write all schemas into this folder instead.")  # fmt: skip
@_HOUSE
@_RULE
def schema(name: str | None, folder: Path | None, house_path: Path | None, rule_files: tuple[Path, ...]) -> None:
    """Print the JSON Schema of the order file, the house file, the plan, the rack or a file of sizes."""
    from planner.house import read_house  # noqa: PLC0415
    from planner.rules import rules_for  # noqa: PLC0415
    from planner.schemas import NAMES, schema_file, schema_text  # noqa: PLC0415
    from planner.writing import write_file  # noqa: PLC0415

    if (name is None) == (folder is None):
        raise click.UsageError("Name one schema to print (order, house, plan, rack or sizes), or give --write FOLDER.")
    loaded = rules_for(read_house(house_path), house_path, rule_files)
    if folder is None:
        click.echo(schema_text(name or "", loaded), nl=False)
        return
    for each in NAMES:
        write_file(folder / schema_file(each), schema_text(each, loaded))


for _command in (account, quote, compare, actual, rack, print_command):
    main.add_command(_command)
