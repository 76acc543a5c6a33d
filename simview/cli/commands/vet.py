"""Judge an offer, answer its buyer, or help its owner."""

from __future__ import annotations

from typing import Annotated

from typer import Argument, Option

from simview.cli import complete, offers
from simview.cli.options import EyeOptions, ReportOptions, SkyOptions
from simview.kit import Observer

EXAMPLES = (
    "advert.txt",
    "70/700 with 20 and 6 mm, tripod",
    "advert.txt --kit offer.toml",
    "advert.txt --explain",
    "advert.txt --shelf shelf.toml --budget 150 --currency EUR --out answer.html",
    "offers/ --out offers.csv",
    "bought.toml --rescue --month 2026-11 --lat 52 --out rescue.pdf",
)
DEMO = (
    "demo:present-450x --shelf demo:shelf --letterhead demo:letterhead --budget 150"
    " --currency EUR --out {folder}/answer.html",
    "demo:present-450x --rescue --month 2026-11 --lat 52 --letterhead demo:letterhead"
    " --out {folder}/rescue.pdf",
    "{folder}/files/adverts --out {folder}/offers.csv",
)

_ANSWER = "The answer"
_RESCUE = "Rescue"


def command(
    offer: Annotated[
        list[str],
        Argument(
            metavar="OFFER...",
            help="A file with the advert, a TOML listing, a folder of them, demo:NAME, - for"
            " standard input, or the advert's own words.",
            autocompletion=complete.listings,
            show_default=False,
        ),
    ],
    shelf: Annotated[
        str,
        Option(
            metavar="FILE",
            help="Your own stock or price list (TOML): what to buy instead.",
            rich_help_panel=_ANSWER,
            show_default=False,
        ),
    ] = "",
    budget: Annotated[
        float | None,
        Option(
            metavar="AMOUNT",
            help="The most that may be spent; without it, the price of the offer.",
            rich_help_panel=_ANSWER,
        ),
    ] = None,
    currency: Annotated[
        str,
        Option(
            metavar="CODE", help="Currency of the budget: EUR, GBP, ...", rich_help_panel=_ANSWER
        ),
    ] = "",
    letterhead: Annotated[
        str,
        Option(
            metavar="FILE",
            help="Your club's name, address and words (TOML).",
            rich_help_panel=_ANSWER,
            show_default=False,
        ),
    ] = "",
    explain: Annotated[
        bool,
        Option(
            "--explain",
            help="Show which words of the advert gave which value.",
            rich_help_panel=_ANSWER,
        ),
    ] = False,
    pictures: Annotated[
        bool, Option(help="Whether to put pictures into the answer sheet.", rich_help_panel=_ANSWER)
    ] = True,
    ask: Annotated[
        bool,
        Option(
            "--ask",
            help="Ask about each doubtful value first; your answers are kept as a TOML listing.",
            rich_help_panel=_ANSWER,
        ),
    ] = False,
    kit: Annotated[
        str,
        Option(
            metavar="FILE",
            help="Write the offer as a kit, to look through with view, ladder and the others.",
            rich_help_panel=_ANSWER,
            show_default=False,
        ),
    ] = "",
    rescue: Annotated[
        bool,
        Option(
            "--rescue",
            help="For someone who owns it already: how to make the best of it.",
            rich_help_panel=_RESCUE,
        ),
    ] = False,
    month: Annotated[
        str,
        Option(
            metavar="YYYY-MM[-DD]",
            help="Month or evening of the first observing list; without it, this evening.",
            rich_help_panel=_RESCUE,
        ),
    ] = "",
    lat: Annotated[
        float, Option(metavar="DEG", help="Latitude, north positive.", rich_help_panel=_RESCUE)
    ] = 50.0,
    lon: Annotated[
        float, Option(metavar="DEG", help="Longitude, east positive.", rich_help_panel=_RESCUE)
    ] = 0.0,
    zone: Annotated[
        str,
        Option(
            metavar="NAME",
            help="Time zone of the clock, such as Europe/Berlin; without it, that of the place.",
            rich_help_panel=_RESCUE,
            show_default=False,
        ),
    ] = "",
    lang: Annotated[
        str,
        Option(
            metavar="CODE",
            help="Language of the answer, with a country if you like: en, de, fr, es, en-US ...",
            rich_help_panel=_ANSWER,
            show_default=False,
        ),
    ] = "",
    sky: SkyOptions = SkyOptions(),
    eye: EyeOptions = EyeOptions(),
    report: ReportOptions = ReportOptions(),
) -> None:
    """Say what an offer is worth, what its claims are worth, and what to do instead.

    With --out FILE.html or FILE.pdf an answer to send or print; with --out FILE.csv, or for a
    folder, a ranked table.
    """
    from simview.advice.request import Wishes
    from simview.advice.speech import tongue_of

    wishes = Wishes(
        shelf=offers.shelf(shelf),
        budget=offers.budget(budget),
        currency=currency,
        head=offers.letterhead(letterhead),
        pictures=pictures,
        rescue=offers.evening(month, lat, lon, zone) if rescue else None,
        tongue=tongue_of(lang),
        sky=sky.over(offers.SKY),
        observer=eye.over(Observer()),
    )
    offers.run(offers.Offers(offer), wishes, report, explain=explain, kit=kit, ask=ask)
