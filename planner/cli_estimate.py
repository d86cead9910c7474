"""The estimator's commands: account, quote, compare, actual. Rooms are imported inside them, as in `planner.cli`."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

_HOUSE = click.option(
    "--house", "house_path", type=click.Path(path_type=Path),
    help="House file with the prices; its defaults, which hold none, if left out.",
)  # fmt: skip
_RULE = click.option(
    "--rule", "rule_files", metavar="FILE", type=click.Path(path_type=Path), multiple=True,
    help="A Python file that holds a further house rule; may be given several times.",
)  # fmt: skip
_RACK = click.option(
    "--rack", "rack_path", metavar="RACK", type=click.Path(path_type=Path), default=None,
    help="Reckon with the pieces of this rack file, which stays as it is.",
)  # fmt: skip
_JSON = click.option("--json", "as_json", is_flag=True, help="Print the result as JSON.")
_OUT = click.option(
    "--out",
    "folder",
    type=click.Path(path_type=Path, file_okay=False),
    help="Folder for what is to be printed and kept; other files in it stay as they are.",
)


@click.command()
@click.argument("plan_path", metavar="PLAN", type=click.Path(path_type=Path))
@_HOUSE
@click.option("--share", "share", type=click.Choice(["area", "alone", "marginal", "all"]), default=None,
              help="How waste is shared among jobs; the house's way if left out; all: side by side.")  # fmt: skip
@click.option("--csv", "csv_path", metavar="FILE", type=click.Path(path_type=Path),
              help="Write the account's lines as CSV.")  # fmt: skip
@_JSON
@_OUT
def account(
    plan_path: Path, house_path: Path | None, share: str | None, csv_path: Path | None, as_json: bool,
    folder: Path | None,
) -> None:  # fmt: skip
    """Account for a plan's metal: by plate, job, flat and day, with whose the waste is.

    \b
    Example:
      flatwright account monday/plan.json --house our-house.toml --share all --out monday-account
    """
    from planner.crew import processes_here  # noqa: PLC0415
    from planner.estimate.account import account_of  # noqa: PLC0415
    from planner.estimate.pages import account_page  # noqa: PLC0415
    from planner.estimate.paging import drawn_pages  # noqa: PLC0415
    from planner.estimate.sharing_waste import all_shares  # noqa: PLC0415
    from planner.estimate.telling import Told, account_csv, account_lines, account_table  # noqa: PLC0415
    from planner.house import read_house  # noqa: PLC0415
    from planner.plan import read_plan  # noqa: PLC0415
    from planner.prices import METHODS, Method  # noqa: PLC0415
    from planner.progress import progress_told  # noqa: PLC0415
    from planner.reading import read_all  # noqa: PLC0415
    from planner.writing import write_file  # noqa: PLC0415

    plan, house = read_all(lambda: read_plan(plan_path), lambda: read_house(house_path))
    chosen: Method = next((one for one in METHODS if one == share), house.prices.sharing.method)
    methods = (chosen, *(one for one in METHODS if one != chosen)) if share == "all" else (chosen,)
    found = account_of(plan, house)
    with progress_told() as say:
        shares = all_shares(
            found, plan, house, methods, processes_here(),
            None if say is None else lambda done, every: say(f"{done} of {every} sets of jobs looked at"),
        )  # fmt: skip
    told = Told(found, chosen, shares)
    table = account_table(told)
    if csv_path is not None:
        write_file(csv_path, account_csv(found))
    if folder is not None:
        _write(folder, {
            "account.json": json.dumps(table, indent=2, ensure_ascii=False) + "\n",
            "account.csv": account_csv(found),
            **drawn_pages(account_page(told), "account"),
        })  # fmt: skip
    click.echo(json.dumps(table, indent=2) if as_json else "\n".join(account_lines(told)))


@click.command()
@click.argument("orders_path", metavar="ORDERS", type=click.Path(path_type=Path))
@_HOUSE
@click.option("--with", "others", metavar="ORDERS", type=click.Path(path_type=Path), multiple=True,
              help="Orders of the same day, not planned yet; may be given several times.")  # fmt: skip
@click.option("--onto", metavar="PLAN", type=click.Path(path_type=Path), default=None,
              help="A plan.json whose open space may be used.")  # fmt: skip
@_RACK
@_RULE
@_JSON
@_OUT
def quote(
    orders_path: Path, house_path: Path | None, others: tuple[Path, ...], onto: Path | None, rack_path: Path | None,
    rule_files: tuple[Path, ...], as_json: bool, folder: Path | None,
) -> None:  # fmt: skip
    """Quote for jobs that are not planned yet: their metal as a range, and the price by the house's table.

    \b
    Example:
      flatwright quote late.toml --house our-house.toml --onto monday/plan.json --out quotations
    """
    from planner.crew import processes_here  # noqa: PLC0415
    from planner.estimate.pages import quotation_page  # noqa: PLC0415
    from planner.estimate.paging import drawn_pages  # noqa: PLC0415
    from planner.estimate.quoting import quote_of  # noqa: PLC0415
    from planner.estimate.telling_quote import quote_lines, quote_table  # noqa: PLC0415
    from planner.house import read_house  # noqa: PLC0415
    from planner.orders import read_orders  # noqa: PLC0415
    from planner.plan import read_plan  # noqa: PLC0415
    from planner.rack.looking import on_offer  # noqa: PLC0415
    from planner.reading import read_all  # noqa: PLC0415
    from planner.rules import rules_for  # noqa: PLC0415

    if others and onto is not None:
        raise click.UsageError("Give --with or --onto: a day that is planned, or one that is not.")
    orders, house, plan, *beside = read_all(
        lambda: read_orders(orders_path),
        lambda: read_house(house_path),
        lambda: None if onto is None else read_plan(onto),
        *(_reader(path) for path in others),
    )
    rules = rules_for(house, house_path, rule_files)
    offer = on_offer(rack_path, orders, house, plan, onto)
    found = quote_of(orders, offer.house, rules, beside, plan, processes_here(), offer.gone)
    table = quote_table(found)
    if folder is not None:
        pages: dict[str, str] = {}
        for place, job in enumerate(found.jobs, start=1):
            if job.price is not None:
                pages |= drawn_pages(quotation_page(found, job), f"quotation-{place}")
        _write(folder, {"quote.json": json.dumps(table, indent=2, ensure_ascii=False) + "\n", **pages})
    click.echo(json.dumps(table, indent=2) if as_json else "\n".join(quote_lines(found)))


@click.command()
@click.argument("plan_path", metavar="PLAN", type=click.Path(path_type=Path))
@click.argument("actual_path", metavar="ACTUAL", type=click.Path(path_type=Path))
@_HOUSE
@_JSON
@_OUT
def actual(plan_path: Path, actual_path: Path, house_path: Path | None, as_json: bool, folder: Path | None) -> None:
    """Compare what was really cut with the plan: the difference by cause, in pieces and in money.

    \b
    ACTUAL is a TOML file that says what went otherwise, like:
      [[sheets]]
      name = "zinc 24 x 36"
      count = 2
      [[spoiled]]
      sheet = "zinc 24 x 36"
      cause = "scratched in the whirler"
      [[remade]]
      plate = "4101/Mayor"
      cause = "nicked by the router"
      [[sold]]
      metal = "zinc"
      pounds = 6.5
    """
    from planner.estimate.actual import actual_from, outcome_of, with_own_sign  # noqa: PLC0415
    from planner.estimate.pages import outcome_page  # noqa: PLC0415
    from planner.estimate.paging import drawn_pages  # noqa: PLC0415
    from planner.estimate.telling_actual import outcome_lines, outcome_table  # noqa: PLC0415
    from planner.house import read_house  # noqa: PLC0415
    from planner.plan import read_plan  # noqa: PLC0415
    from planner.reading import read_all, read_tables  # noqa: PLC0415

    plan, tables, house = read_all(
        lambda: read_plan(plan_path), lambda: read_tables(actual_path), lambda: read_house(house_path)
    )
    source = str(actual_path)
    cut = actual_from(with_own_sign(tables, house.prices.currency, source), source)
    found = outcome_of(plan, house, cut, source)
    table = outcome_table(found)
    if folder is not None:
        _write(folder, {
            "actual.json": json.dumps(table, indent=2, ensure_ascii=False) + "\n",
            **drawn_pages(outcome_page(found), "actual"),
        })  # fmt: skip
    click.echo(json.dumps(table, indent=2) if as_json else "\n".join(outcome_lines(found)))


@click.command()
@click.argument("orders_path", metavar="ORDERS", type=click.Path(path_type=Path))
@_HOUSE
@click.option(
    "--sizes",
    "sizes_path",
    metavar="SIZES",
    type=click.Path(path_type=Path),
    default=None,
    help="A file of sheets that could be bought, beside those of the house file ([[buyable]]).",
)
@click.option(
    "--within",
    metavar="DAYS",
    type=click.IntRange(0, 999),
    default=None,
    help="Leave out what is not here after so many days.",
)
@click.option("--every-mix", is_flag=True, help="Compare every mix of sizes, however long that takes.")
@click.option(
    "--iterations", type=click.IntRange(0, 1_000_000), default=None, help="Rounds of the search for each mix at most."
)
@click.option("--seed", type=click.IntRange(0, 2**31 - 1), default=0, show_default=True, help="Seed of the search.")
@_RACK
@_RULE
@_JSON
@_OUT
def compare(
    orders_path: Path, house_path: Path | None, sizes_path: Path | None, within: int | None, every_mix: bool,
    iterations: int | None, seed: int, rack_path: Path | None, rule_files: tuple[Path, ...], as_json: bool,
    folder: Path | None,
) -> None:  # fmt: skip
    """Compare what the day's metal costs on every choice of sheet sizes, on hand and to be bought.

    \b
    SIZES is a TOML file like:
      [[sheets]]
      name = "zinc 30 x 40"
      metal = "zinc"
      size = "30 x 40 in"
      price = 30.50
      lead = 3
      pack = 5
    """
    from planner.crew import processes_here  # noqa: PLC0415
    from planner.estimate.choices import sizes_from  # noqa: PLC0415
    from planner.estimate.comparing import ROUNDS  # noqa: PLC0415
    from planner.estimate.comparing import compare as compared  # noqa: PLC0415
    from planner.estimate.telling_compare import compare_lines, compare_page, compare_table  # noqa: PLC0415
    from planner.flats import Search  # noqa: PLC0415
    from planner.house import read_house  # noqa: PLC0415
    from planner.orders import read_orders  # noqa: PLC0415
    from planner.progress import progress_told  # noqa: PLC0415
    from planner.rack.looking import on_offer  # noqa: PLC0415
    from planner.reading import read_all, read_tables  # noqa: PLC0415
    from planner.rules import rules_for  # noqa: PLC0415
    from planner.sheets.comparison import comparison_sheet  # noqa: PLC0415

    orders, house, tables = read_all(
        lambda: read_orders(orders_path),
        lambda: read_house(house_path),
        lambda: None if sizes_path is None else read_tables(sizes_path),
    )
    sizes = () if tables is None else sizes_from(tables, house, str(sizes_path))
    rules = rules_for(house, house_path, rule_files)
    offer = on_offer(rack_path, orders, house)
    search = Search(seed=seed, iterations=ROUNDS if iterations is None else iterations)
    with progress_told() as told:
        found = compared(
            orders, offer.house, rules, sizes, search, within, every_mix, processes_here(),
            None if told is None else lambda look: told(f"{look.done} of {look.known} mixes laid"),
            str(sizes_path or house_path or "the defaults"), offer.pieces,
        )  # fmt: skip
    table = compare_table(found)
    if folder is not None:
        _write(folder, {
            "comparison.json": json.dumps(table, indent=2, ensure_ascii=False) + "\n",
            "comparison.svg": comparison_sheet(compare_page(found)),
        })  # fmt: skip
    click.echo(json.dumps(table, indent=2) if as_json else "\n".join(compare_lines(found)))


def _reader(path: Path) -> Callable[[], Any]:
    from planner.orders import read_orders  # noqa: PLC0415

    return lambda: read_orders(path)


def _write(folder: Path, files: Mapping[str, str]) -> None:
    """Put files into a folder that may hold others, all or none."""
    from planner.writing import write_beside  # noqa: PLC0415

    write_beside(folder, files)
