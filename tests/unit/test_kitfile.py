"""Kit files: what is read, what is written, and what is said when a file is wrong."""

from __future__ import annotations

import math
import stat
import tomllib
from pathlib import Path

import pytest

from simview import demo
from simview.errors import ChoiceError, FileError, FitError, RangeError, SimviewError
from simview.kit import Kit, Observer, Sky, Telescope, Wavefront
from simview.kitfile import kit_text, load_kit, load_kit_file, parse_kit, save_kit

SCOPE = "[telescope]\nfocal_length_mm = 600\n"
GOOD = SCOPE + "aperture_mm = 60\n"


def fault(text: str) -> SimviewError:
    with pytest.raises(SimviewError) as caught:
        parse_kit(text, where="kit.toml")
    return caught.value


def test_kit_file_gives_every_value_it_holds() -> None:
    text = """
        name = "A"
        note = "B"
        layout = "newtonian"
        focuser = "2in"
        claimed_power = 300
        price = 10.5
        currency = "EUR"
        [telescope]
        aperture_mm = 150
        focal_length_mm = 750.0
        obstruction = 0.3
        vanes = 4
        vane_mm = 1
        [telescope.wavefront]
        spherical = 0.25
        [telescope.wavefront.noll]
        11 = 0.05
        [[eyepieces]]
        focal_length_mm = 25
        design = "kellner"
        [[eyepieces]]
        focal_length_mm = 10
        barrel = "2in"
        [[amplifiers]]
        factor = 2
        [diagonal]
        kind = "erecting"
        [mount]
        kind = "rocker"
        [sky]
        seeing_arcsec = 3
        outer_scale_m = inf
        [observer]
        age_years = 60
    """
    file = parse_kit(text, where="kit.toml")
    kit = file.kit
    assert (kit.name, kit.note, kit.layout, kit.focuser) == ("A", "B", "newtonian", "2in")
    assert (kit.claimed_power, kit.price, kit.currency) == (300.0, 10.5, "EUR")
    assert kit.telescope == Telescope(
        aperture_mm=150.0,
        focal_length_mm=750.0,
        obstruction=0.3,
        vanes=4,
        vane_mm=1.0,
        wavefront=Wavefront(spherical=0.25, noll={11: 0.05}),
    )
    assert [(piece.focal_length_mm, piece.barrel) for piece in kit.eyepieces] == [
        (25.0, "1.25in"),
        (10.0, "2in"),
    ]
    assert kit.amplifiers[0].factor == 2.0
    assert kit.diagonal is not None
    assert kit.diagonal.kind == "erecting"
    assert kit.mount.kind == "rocker"
    assert file.sky == Sky(seeing_arcsec=3.0, outer_scale_m=math.inf)
    assert file.observer == Observer(age_years=60.0)
    assert file.path == Path("kit.toml")


def test_whole_numbers_become_floats_where_the_record_has_floats() -> None:
    scope = parse_kit(GOOD, where="kit.toml").kit.telescope
    assert scope is not None
    assert isinstance(scope.aperture_mm, float)


def test_sky_and_observer_are_none_when_the_file_is_silent() -> None:
    file = parse_kit(GOOD, where="kit.toml")
    assert file.sky is None
    assert file.observer is None


def test_a_name_alone_is_the_naked_eye() -> None:
    assert parse_kit('name = "eye"', where="kit.toml").kit.kind == "eye"


@pytest.mark.parametrize("name", demo.kit_names())
def test_demo_kits_load_and_survive_being_saved(name: str, tmp_path: Path) -> None:
    file = load_kit_file(demo.kit_path(f"demo:{name}"))
    path = save_kit(file.kit, tmp_path / "copy.toml", sky=file.sky, observer=file.observer)
    again = load_kit_file(path)
    assert (again.kit, again.sky, again.observer) == (file.kit, file.sky, file.observer)


def test_toy_refractor_reaches_its_claim_only_with_all_pieces_at_once() -> None:
    # Common practice, no source: power is the ratio of focal lengths times the factors.
    kit = load_kit(demo.asset("kits/toy-refractor-50.toml"))
    assert kit.telescope is not None
    shortest = min(piece.focal_length_mm for piece in kit.eyepieces)
    factor = math.prod(piece.factor for piece in kit.amplifiers)
    assert kit.telescope.focal_length_mm / shortest * factor == kit.claimed_power == 450.0


# What is written, and all that its message must hold.
WRONG = [
    (SCOPE + "aperture_cm = 15", ["[telescope]", "aperture_cm", "15", "write aperture_mm = 150"]),
    (SCOPE + "aperture_in = 6", ["aperture_in", "write aperture_mm = 152.4"]),
    (SCOPE + "secondary_mm = 40", ["unknown key secondary_mm", "obstruction = its diameter"]),
    (SCOPE + "aperture = 150", ["unknown key aperture", "did you mean 'aperture_mm'"]),
    (SCOPE + "apperture_mm = 150", ["apperture_mm", "did you mean 'aperture_mm'", "obstruction"]),
    (SCOPE + 'aperture_mm = "150 mm"', ["'150 mm'", "a number", "write aperture_mm = 150"]),
    (SCOPE + 'aperture_mm = "6 inch"', ["a number", "write aperture_mm = 152.4"]),
    (SCOPE + 'aperture_mm = "1,5"', ["a number", "write aperture_mm = 1.5"]),
    (SCOPE + "aperture_mm = true", ["aperture_mm", "got True", "a number"]),
    (SCOPE + "aperture_mm = 5000", ["5000 mm", "4 to 2000 mm"]),
    (SCOPE + "aperture_mm = -3", ["-3 mm", "4 to 2000 mm"]),
    (SCOPE + "aperture_mm = nan", ["got nan", "finite"]),
    (SCOPE + "aperture_mm = inf", ["got inf", "finite"]),
    (SCOPE + "aperture_mm = 1e400", ["got inf", "finite"]),
    (SCOPE + "aperture_mm = 1" + "0" * 400, ["aperture_mm", "a number"]),
    (SCOPE + "aperture_mm = 1" + "0" * 5000, ["not valid TOML"]),
    (SCOPE + "aperture_mm = 1999-01-01", ["aperture_mm", "1999-01-01", "a number"]),
    (SCOPE, ["[telescope]", "aperture_mm is missing"]),
    (GOOD + "vanes = 3.0", ["vanes", "a whole number", "write vanes = 3"]),
    (GOOD + "wavefront = 3", ["write [telescope.wavefront] on a line of its own"]),
    (GOOD + "stop_mm = 80", ["stop_mm", "80 mm", "4 to 60 mm"]),
    (GOOD + "price = 3", ["price belongs under no heading"]),
    (GOOD + "[telescope.wavefront.noll]\n1 = 0.1", ["[telescope.wavefront]", "noll index", "2 to"]),
    (GOOD + "[telescope.wavefront.noll]\nx = 0.1", ["[telescope.wavefront.noll]", "whole number"]),
    (GOOD + "[eyepieces]\nfocal_length_mm = 3", ["write [[eyepieces]] with two brackets"]),
    (GOOD + "[[eyepiece]]\nfocal_length_mm = 3", ["unknown key eyepiece", "'eyepieces'"]),
    (
        GOOD + "[[eyepieces]]\nfocal_length_mm = 3\n[[eyepieces]]\nfocal_length_mm = '6mm'",
        ["[[eyepieces]] 2", "focal_length_mm", "write focal_length_mm = 6"],
    ),
    (
        GOOD + "[[eyepieces]]\nfocal_length_mm = 6\ndesign = 'Plössl'",
        ["[[eyepieces]] 1", "design", "huygens", "did you mean 'plossl'"],
    ),
    (GOOD + "[[eyepieces]]\nfocal_length_mm = 300", ["[[eyepieces]] 1", "300 mm", "1 to 100 mm"]),
    (GOOD + "[[amplifiers]]\nfactor = 'x2'", ["[[amplifiers]] 1", "factor", "a number"]),
    (GOOD + '[mount]\ntap_arcsec = "2\'"', ["[mount]", "write tap_arcsec = 120"]),
    (GOOD + "[mount]\ndriven = 1", ["driven", "true or false"]),
    (GOOD + "[sky]\nseing = 3", ["[sky]", "seing", "'seeing_arcsec'"]),
    (GOOD + "[sky]\nseeing_arcsec = -1", ["[sky]", "seeing_arcsec", "0 to 20 arcsec"]),
    (GOOD + "[observer]\neyes = 3", ["[observer]", "eyes", "1, 2"]),
    ("barrel = '1.25in'", ["barrel belongs under"]),
    ("focuser = 1.25", ["focuser", "1.25in"]),
    ("name = 3", ["name", "a text in quotes", 'write name = "..."']),
    ("layout = 'dobson'", ["layout", "newtonian, refractor, cassegrain, maksutov"]),
    ("claimed_power = '450x'", ["write claimed_power = 450"]),
    ("price = '49.00 EUR'", ["write the number alone"]),
    ("price = nan", ["price", "nan"]),
    ("telescope = 3", ["telescope", "a table", "[telescope]"]),
    ("[binocular]\npower = '10x50'\naperture_mm = 50", ["power = 10 and aperture_mm = 50"]),
    (GOOD + "[binocular]\npower = 10\naperture_mm = 50", ["a telescope and a binocular"]),
    ("[[eyepieces]]\nfocal_length_mm = 10", ["without a [telescope]"]),
    ("", ["kit file is empty"]),
    ("# only a remark", ["kit file is empty"]),
]


@pytest.mark.parametrize(("text", "parts"), WRONG)
def test_wrong_kit_gives_one_line_that_names_file_key_value_and_remedy(
    text: str, parts: list[str]
) -> None:
    message = str(fault(text))
    assert message.startswith("kit.toml: ")
    assert "\n" not in message
    assert len(message) < 500
    for part in parts:
        assert part in message


BROKEN = [
    ("name = 'x'\nprice = 1,5", 2, "decimals with a point"),
    ("name = 'x'\nprice = 150 EUR", 2, "the number alone"),
    ("name: 'x'", 1, "equals sign"),
    ("name = toy", 1, "in quotes"),
    ("\n\n[telescope", 3, ""),
    ("name = 'x'\nname = 'y'\n", 2, "Cannot overwrite"),
    ("name = 'x'\nnote = 'y", 2, "Expected"),
]


@pytest.mark.parametrize(("text", "line", "part"), BROKEN)
def test_broken_toml_is_told_with_line_and_column(text: str, line: int, part: str) -> None:
    error = fault(text)
    assert isinstance(error, FileError)
    assert f"(line {line}, column " in str(error)
    assert part in str(error)


def test_deep_nesting_is_refused_instead_of_overflowing() -> None:
    assert "nested too deeply" in str(fault("a = " + "[" * 50_000))


def test_error_classes_tell_range_choice_and_fit_apart() -> None:
    assert isinstance(fault(SCOPE + "aperture_mm = 5000"), RangeError)
    assert isinstance(fault(SCOPE + "aperture = 5000"), ChoiceError)
    assert isinstance(fault("[[eyepieces]]\nfocal_length_mm = 10"), FitError)


def test_error_carries_its_parts_as_attributes() -> None:
    error = fault(SCOPE + 'aperture_mm = "6 inch"')
    assert error.what == "aperture_mm"
    assert error.got == "6 inch"
    assert error.allowed == "a number"
    assert error.where == "kit.toml: [telescope]"


def file_fault(path: Path) -> str:
    with pytest.raises(FileError) as caught:
        load_kit(path)
    message = str(caught.value)
    assert str(path)[:60] in message
    assert "\n" not in message
    return message


def test_missing_file_is_named(tmp_path: Path) -> None:
    assert "not found" in file_fault(tmp_path / "none.toml")


def test_folder_given_as_file_is_named(tmp_path: Path) -> None:
    assert "this is a folder" in file_fault(tmp_path)


def test_binary_file_is_named(tmp_path: Path) -> None:
    path = tmp_path / "kit.toml"
    path.write_bytes(b"\x89PNG\r\n\x1a\n\0\0\0")
    assert "binary" in file_fault(path)


def test_text_that_is_not_utf8_is_named_with_its_line(tmp_path: Path) -> None:
    path = tmp_path / "kit.toml"
    path.write_bytes("price = 3\nname = 'Plössl'".encode("latin-1"))
    assert "not UTF-8 text (line 2)" in file_fault(path)


def test_byte_order_mark_is_no_fault(tmp_path: Path) -> None:
    path = tmp_path / "kit.toml"
    path.write_bytes(b"\xef\xbb\xbf" + GOOD.encode())
    assert load_kit(path).kind == "telescope"


def test_huge_file_is_refused_unread(tmp_path: Path) -> None:
    path = tmp_path / "kit.toml"
    with path.open("wb") as stream:
        stream.truncate(40_000_000_000)  # a hole: it takes no room on the disk
    assert "larger than 1 MB" in file_fault(path)


def test_name_that_no_file_can_have_is_told(tmp_path: Path) -> None:
    assert "not a possible file name" in file_fault(tmp_path / "a\0b.toml")
    assert "cannot be read" in file_fault(tmp_path / ("x" * 5000))


def test_file_used_as_a_folder_is_named(tmp_path: Path) -> None:
    path = tmp_path / "kit.toml"
    path.write_text(GOOD)
    assert "cannot be read" in file_fault(path / "kit.toml")


def test_saved_file_leaves_out_defaults_and_heads_each_piece() -> None:
    file = parse_kit(GOOD + "[[eyepieces]]\nfocal_length_mm = 20", where="kit.toml")
    text = kit_text(file.kit)
    assert "transmission" not in text
    assert "[[eyepieces]]\nfocal_length_mm = 20.0" in text
    assert set(tomllib.loads(text)) == {"name", "telescope", "eyepieces"}


def test_saved_default_kit_can_be_read_again() -> None:
    assert parse_kit(kit_text(Kit()), where="kit.toml").kit == Kit()


def test_saving_replaces_a_file_only_when_told_to(tmp_path: Path) -> None:
    path = tmp_path / "kit.toml"
    path.write_text("mine")
    with pytest.raises(FileError, match="there already"):
        save_kit(Kit(name="eye"), path)
    assert path.read_text() == "mine"
    save_kit(Kit(name="eye"), path, force=True)
    assert load_kit(path).name == "eye"
    assert [each.name for each in tmp_path.iterdir()] == ["kit.toml"]


def test_saving_into_a_missing_folder_is_told(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="is not there"):
        save_kit(Kit(), tmp_path / "none" / "kit.toml")


def test_saved_file_has_the_usual_rights(tmp_path: Path) -> None:
    plain = tmp_path / "plain"
    plain.write_text("")
    path = save_kit(Kit(), tmp_path / "kit.toml")
    assert stat.S_IMODE(path.stat().st_mode) == stat.S_IMODE(plain.stat().st_mode)
