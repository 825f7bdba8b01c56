"""offtool prices: what a kg of each resin costs, and what money is given in."""

from __future__ import annotations

from pathlib import Path

import click

from offtool.cli.options import command, open_for_reading, shared_options, who
from offtool.cli.terminal import say, say_json


@command(example="offtool prices harbour-otter --currency USD --resin ABS=2.4 --resin POM=2.9")
@click.argument("programme")
@click.option("--currency", help="What money is given in, such as USD.")
@click.option("--resin", "resins", multiple=True, metavar="RESIN=PRICE",
              help="What a kg of a resin costs; RESIN= where it is not known again.")  # fmt: skip
@shared_options
def prices(
    programme: str, currency: str | None, resins: tuple[str, ...], record: Path | None, as_json: bool
) -> None:
    """Say what a kg of each resin costs.

    Without a price only the kg are said of what is purged and thrown away.
    """
    told = dict(_price(one) for one in resins)
    open_for_reading(record)
    from offtool.steps.plain import as_plain
    from offtool.steps.prices import keep_prices, prices_known

    if told or currency is not None:
        keep_prices(programme, told, currency=currency, by=who())
    found = prices_known(programme)
    if as_json:
        say_json(as_plain(found))
        return
    from offtool.cli.shared_lines import done_lines, sentence, table_or_bullets

    money = f"{found.currency} a kg".lstrip()
    rows = [
        [one.resin, f"{one.price_per_kg:g} {money}" if one.price_per_kg is not None else "not known"]
        for one in found.prices
    ]
    done = ["The prices are kept."] if told or currency is not None else []
    lines = [*sentence(found.headline), *table_or_bullets(rows, [": ".join(row) for row in rows])]
    say([*done_lines(done), *lines])


def _price(typed: str) -> tuple[str, float | None]:
    resin, equals, price = (one.strip() for one in typed.partition("="))
    try:
        number = float(price.replace(",", ".")) if price else None
    except ValueError:
        resin = ""
    if not resin or not equals:
        raise click.UsageError(f"--resin {typed!r}: type it as --resin ABS=2.4")
    return resin, number
