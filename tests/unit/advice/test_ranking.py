"""Many offers at once: best first, nothing lost, a CSV that no spreadsheet runs."""

from __future__ import annotations

import csv
import io

from simview.advice.ranking import COLUMNS, Judged, csv_text, ranked, rows
from simview.advice.reading.assemble import read_advert
from simview.advice.verdict import vet

GOOD = "Achromatic refractor 70/1000, 25 mm Plössl eyepiece, red dot finder, altazimuth mount"
POOR = "Refractor 50/600, H6 eyepiece 0.965 in, 450x, sun filter"
MIDDLING = "Achromatic refractor 60/900, 25 mm Plössl eyepiece, red dot finder, altazimuth mount"


def judged(*texts: str) -> list[Judged]:
    return [
        Judged(source=f"{n}.txt", verdict=vet(read_advert(text))) for n, text in enumerate(texts)
    ]


def test_offers_are_ranked_by_verdict_and_what_was_not_read_comes_last() -> None:
    broken = Judged(source="x.txt", error="binary data")
    table = rows(ranked([broken, *judged(POOR, GOOD, MIDDLING)]))
    assert [row["verdict"] for row in table] == ["sound", "with care", "leave it", "not read"]
    assert [row["rank"] for row in table] == [1, 2, 3, 4]
    assert table[-1]["first_reason"] == "binary data"


def test_csv_has_its_columns_and_reads_back() -> None:
    text = csv_text(rows(ranked(judged(GOOD, POOR))))
    read = list(csv.DictReader(io.StringIO(text)))
    assert tuple(read[0]) == COLUMNS
    assert [row["verdict"] for row in read] == ["sound", "leave it"]
    assert read[1]["claimed_power"] == "450"


def test_formula_in_an_advert_is_text_in_the_csv() -> None:
    text = csv_text(rows(judged('=HYPERLINK("//evil.invalid") refractor 60/700', "@SUM(1) 60/700")))
    read = list(csv.DictReader(io.StringIO(text)))
    assert read[0]["name"].startswith("'=HYPERLINK")
    assert read[1]["name"].startswith("'@SUM")
