"""Price and currency."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Final

from simview.advice.reading.clean import Page
from simview.advice.speech import joined, money, say

# Signs and words -> ISO 4217 code; a sign that several countries use is marked as a guess.
_SIGNS: Final = {
    "€": "EUR", "eur": "EUR", "euro": "EUR", "euros": "EUR",
    "£": "GBP", "gbp": "GBP", "pounds": "GBP", "pound": "GBP", "quid": "GBP",
    "us$": "USD", "usd": "USD", "$": "USD", "dollars": "USD", "dollar": "USD",
    "a$": "AUD", "au$": "AUD", "aud": "AUD", "c$": "CAD", "ca$": "CAD", "cad": "CAD", "nz$": "NZD",
    "nzd": "NZD", "chf": "CHF", "fr.": "CHF", "r$": "BRL", "brl": "BRL", "reais": "BRL",
    "sek": "SEK", "nok": "NOK", "dkk": "DKK",
    "zł": "PLN", "pln": "PLN", "kč": "CZK", "czk": "CZK", "¥": "JPY", "jpy": "JPY",
    "₹": "INR", "inr": "INR", "rs.": "INR", "zar": "ZAR",
}  # fmt: skip
_UNSURE: Final = frozenset(("$", "dollar", "dollars", "¥"))
_SIGN: Final = "|".join(re.escape(sign) for sign in sorted(_SIGNS, key=len, reverse=True))
_AMOUNT: Final = r"\d{1,3}(?:[ .,']\d{3})+(?:[.,](?:\d{2}|-))?|\d{1,6}(?:[.,](?:\d{1,2}|-))?"
_PRICE: Final = re.compile(
    rf"(?<![a-z\d])(?P<sign>{_SIGN})\s?(?P<amount>{_AMOUNT})(?!\d)"
    rf"|(?<![\d.,x/])(?P<amount2>{_AMOUNT})\s?(?P<sign2>{_SIGN})(?![a-z])"
    r"(?: ?(?P<cents>\d{2})(?=\s*(?:$|[.,;!?)\n])(?!\.\d)))?"
)
# "60,-" is a price wherever it stands.
_DASHED: Final = re.compile(
    r"(?<![\d.,])(?P<amount>\d{1,5})[.,:]-(?!\d)"
    r"|\b(?:only|just|now) (?P<few>\d{1,4}[.,]\d{2})(?!\s?(?:mm|cm|kg|x|m\b|in\b)|\d)"
)
# "..., tripod, 29,95" at the very end.
_LAST: Final = re.compile(
    r"(?:(?<=[,;\n*])|(?<=[,;\n.*-] ))(?P<amount>\d{1,4}[.,]\d{2})(?=[\s.!*]*$)"
)
_BARE: Final = re.compile(
    r"(?:price|asking|cost|for sale at|sold for|yours for|give me|gimme|i want|want)"
    rf"(?:\s?(?:is|of|only|:|=|-)?|[a-z ]{{0,24}}:)\s{{0,2}}(?P<amount>{_AMOUNT})(?![\d.,]*\d"
    rf"|\s?(?:mm|x|cm|kg|%)"
    r"|\s(?:tenners?|fivers?|grand|hundreds?)\b)"
)
# "now for 12,50", "tripod for 40": an amount that ends its clause.
_FOR: Final = re.compile(
    r"\b(?:for|für|pour|voor|por|per|za|för|à|om) (?:only |just |now "
    r"|the )?(?P<amount>\d{1,4}[.,]\d{2}"
    r"|\d{2,4})(?=\s?(?:[.,;!)\n]|$))(?![.,]\d)"
)
# "280 posted", "180 VHB": the readers' word for VHB and its like is price.
_BARE_AFTER: Final = re.compile(
    rf"(?<![\w.,/])(?:{_AMOUNT})(?= ?(?:ono|obo|o\.n\.o|posted|delivered|shipped|collected"
    rf"|price)(?![a-z]|\s?[:=\d]))"
)
# Words before an amount that make it no price to pay now.
_OLD: Final = re.compile(
    r"(?:\bwas|\brrp|msrp|\blist(?: price)?|instead of|saves?|saving|save up to|formerly"
    r"|originally|old price|\bstatt|\buvp"
    r"|usually|cost me|paid|\d ?x (?:de|of|à|von|per|à)|instal\w+|raten|shipping|delivery"
    r"|postage|p&p|versand|over|deposit|worth"
    r"|value|valued at|new price|off)"
    r"\s?(?:price|is|of|:|was|war|at|around|about)?\s{0,2}(?:¤+\s?)?$"
)
# A shop's own word for its price, which is an old one only where another stands beside it.
_RETAIL: Final = re.compile(r"retail price\s?[:=]?\s{0,2}$")
_OLD_AFTER: Final = re.compile(
    r" ?(?:off\b|discount|postage|shipping|delivery|p&p|saved?|when new|rrp|versand)"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """What is to be paid."""

    amount: float
    currency: str
    span: tuple[int, int]
    guess: bool = False


def read_price(page: Page) -> Price | None:
    """Return the price to pay now, and take every amount of money."""
    found: list[Price] = []
    currency = ""
    sent: list[Price] = []
    retail: list[Price] = []
    for match in list(_PRICE.finditer(page.plain)):
        before = page.plain[max(0, match.start() - 28) : match.start()].replace("\n", " ")
        after = page.plain[match.end() :][:16]
        sign = match["sign"] or match["sign2"]
        currency = currency or _SIGNS[sign]
        price = Price(
            amount=amount(match["amount"] or match["amount2"]) + float(match["cents"] or 0) / 100.0,
            currency=_SIGNS[sign],
            span=match.span(),
            guess=sign in _UNSURE,
        )
        if _RETAIL.search(before):
            retail.append(price)
        elif not _OLD.search(before):
            (sent if _OLD_AFTER.match(after) else found).append(price)
        page.take(match.span())
    if found:
        return _chosen(page, found)
    bare = _bare(page, currency)
    if bare is None and len(retail) == 1 and not sent:
        return replace(retail[0], guess=True)
    # "90 € delivery", and no other amount: what comes delivered costs that.
    return replace(sent[0], guess=True) if bare is None and len(sent) == 1 else bare


def _chosen(page: Page, found: list[Price]) -> Price:
    amounts = sorted({price.amount for price in found})
    price = found[0]
    if len(amounts) > 1:
        page.remarks.append(
            say(
                "Several prices are named ({prices}); the first, {first}, was taken.",
                prices=joined((money(value, "") for value in amounts), ", "),
                first=money(price.amount, ""),
            )
        )
    return price


def _bare(page: Page, currency: str) -> Price | None:
    """Return a price without a sign; its currency is that of the other amounts in the text."""
    patterns = (_DASHED, _BARE, _LAST, _FOR)
    match = next((found for one in patterns if (found := _now(page, one))), None)
    after = _BARE_AFTER.search(page.plain) if match is None else None
    found = match or after
    if found is None:
        return None
    group = 0 if match is None else "amount" if match["amount"] else "few"
    value = amount(found[group])
    if value > 20000.0:
        return None
    page.take(found.span(group))
    return Price(amount=value, currency=currency, span=found.span(), guess=True)


def _now(page: Page, pattern: re.Pattern[str]) -> re.Match[str] | None:
    """Return the first amount that is no old price."""
    for match in pattern.finditer(page.plain):
        if not _OLD.search(page.plain[max(0, match.start() - 28) : match.start()]):
            return match
    return None


def amount(text: str) -> float:
    """Return an amount written the English or the continental way: 1,299.00 or 1.299,00."""
    text = text.replace(" ", "").replace("'", "").removesuffix("-").rstrip(".,")
    last = max(text.rfind("."), text.rfind(","))
    if last >= 0 and len(text) - last - 1 != 3:
        return float(f"{re.sub('[.,]', '', text[:last])}.{text[last + 1 :]}")
    return float(re.sub("[.,]", "", text))
