"""A talk in one file: slides, page and handout, made again only where something changed."""

from __future__ import annotations

import json
import re
import zipfile
from pathlib import Path

import pytest
from PIL import Image

from simview.cli.app import run
from simview.demo import asset

HEAD = 'title = "Two of us"\nauthor = "A club"\nsize = "960x540"\nsources = ["A source, 1966"]\n'
WORDS = (
    '[[slide]]\nname = "sun"\ntitle = "Never look at the Sun"\nlines = ["A front filter only"]\n'
)
VIEW = (
    '[[slide]]\nname = "saturn"\ntitle = "Small and sharp"\ncommand = "view"\n'
    'kit = "demo:tabletop-150"\ntarget = "saturn"\npower = 100\nnotes = """\nSay this.\n"""\n'
)
FILM = (
    '[[slide]]\nname = "boiling"\ntitle = "The air moves"\ncommand = "film"\n'
    'kit = "demo:toy-refractor-50"\npower = 60\nframes = 4\nslide_size = "960x540"\n'
)


@pytest.fixture(scope="module")
def talk(tmp_path_factory: pytest.TempPathFactory) -> Path:
    home = tmp_path_factory.mktemp("talk")
    (home / "two.toml").write_text(HEAD + VIEW + WORDS + FILM, encoding="utf-8")
    assert run(["talk", str(home / "two.toml"), "--out", str(home / "out"), "--quiet"]) == 0
    return home


def test_every_file_of_a_talk_is_there(talk: Path) -> None:
    out = talk / "out"
    for name in ("talk.pptx", "talk.html", "handout.pdf", "pictures/saturn.png"):
        assert (out / name).stat().st_size > 1000
    with Image.open(out / "pictures/boiling.png") as still:
        assert still.size == (960, 540)


def test_deck_has_pictures_notes_titles_texts_and_a_film(talk: Path) -> None:
    """Read back by python-pptx's reader, and as ECMA-376 lays the package out."""
    from pptx import Presentation
    from pptx.util import Emu

    deck = Presentation(str(talk / "out/talk.pptx"))
    slides = list(deck.slides)
    assert [slide.shapes.title.text for slide in slides] == [
        "Small and sharp",
        "Never look at the Sun",
        "The air moves",
    ]
    first = slides[0]
    assert first.notes_slide.notes_text_frame.text.startswith("Say this.")
    # What is assumed follows the speaker's own words.
    assert "Seeing" in first.notes_slide.notes_text_frame.text
    picture = first.shapes[-1]
    assert (picture.left, picture.top) == (0, 0)
    assert (picture.width, picture.height) == (deck.slide_width, deck.slide_height)
    assert Emu(deck.slide_width).inches == pytest.approx(13.333, abs=0.01)
    described = picture._element.xpath(".//p:cNvPr")[0].get("descr")
    assert "Small and sharp" in described
    with zipfile.ZipFile(talk / "out/talk.pptx") as package:
        films = [name for name in package.namelist() if name.endswith(".mp4")]
        assert len(films) == 1
        # An MP4 begins with its file type box (ISO 14496-12, 4.3).
        assert package.read(films[0])[4:8] == b"ftyp"


# What may stand in what, in this order, and with which values: ECMA-376-1, 19.5 and its schema
# (CT_SlideTiming, CT_TLCommonTimeNodeData and the rest), of what the tree uses.
ORDER = {
    "timing": ("tnLst", "bldLst", "extLst"),
    "seq": ("cTn", "prevCondLst", "nextCondLst"),
    "cTn": ("stCondLst", "endCondLst", "endSync", "iterate", "childTnLst", "subTnLst"),
    "video": ("cMediaNode",),
    "cMediaNode": ("cTn", "tgtEl"),
    "cmd": ("cBhvr",),
    "cBhvr": ("cTn", "tgtEl", "attrNameLst"),
    "cond": ("tgtEl", "tn", "rtn"),
}
VALUES = {
    "nodeType": "clickEffect withEffect afterEffect mainSeq interactiveSeq clickPar withGroup"
    " afterGroup tmRoot",
    "presetClass": "entr exit emph path verb mediacall",
    "restart": "always whenNotActive never",
    "fill": "remove freeze hold transition",
    "evt": "onBegin onEnd begin end onClick onDblClick onMouseOver onMouseOut onNext onPrev"
    " onStopAudio",
    "nextAc": "none seek",
    "type": "evt call verb",
}


def test_film_in_the_deck_begins_by_itself_as_the_standard_has_it(talk: Path) -> None:
    from lxml import etree
    from pptx import Presentation

    slide = list(Presentation(str(talk / "out/talk.pptx")).slides)[2]._element
    local = [etree.QName(child).localname for child in slide]
    # CT_Slide: the colour map, a transition, the times, extensions.
    assert local == [n for n in ("cSld", "clrMapOvr", "transition", "timing") if n in local]
    assert local.count("timing") == 1
    timing = slide[local.index("timing")]
    shapes = {int(each) for each in slide.xpath(".//p:cNvPr/@id")}
    (film,) = slide.xpath(".//p:pic[.//a:videoFile]/p:nvPicPr/p:cNvPr/@id")
    ids = [int(each) for each in timing.xpath(".//p:cTn/@id")]
    assert len(set(ids)) == len(ids)
    assert {int(each) for each in timing.xpath(".//@spid")} == {int(film)} <= shapes
    for node in timing.iter():
        name = etree.QName(node).localname
        inside = [etree.QName(child).localname for child in node]
        if name in ORDER:
            assert inside == sorted(inside, key=ORDER[name].index), name
        for key, value in node.attrib.items():
            if key in VALUES:
                assert value in VALUES[key].split(), (name, key)
    commands = [each.get("cmd") for each in timing.iter("{*}cmd")]
    assert commands == ["playFrom(0.0)", "togglePause"]
    # Four frames at 15 a second.
    assert int(next(timing.iter("{*}cmd"))[0][0].get("dur")) == pytest.approx(4000 / 15, abs=70)


def test_film_in_the_deck_is_its_own_part_with_a_poster(talk: Path) -> None:
    """[MS-PPTX] 2.2 and 2.4: p14:media embeds what a:videoFile names; OPC: types by ending."""
    with zipfile.ZipFile(talk / "out/talk.pptx") as package:
        rels = package.read("ppt/slides/_rels/slide3.xml.rels").decode()
        types = package.read("[Content_Types].xml").decode()
        slide = package.read("ppt/slides/slide3.xml").decode()
    assert 'Extension="mp4" ContentType="video/mp4"' in types
    linked = dict(re.findall(r'Id="(rId\d+)"[^>]*Target="([^"]+)"', rels)) or {
        key: target for target, key in re.findall(r'Target="([^"]+)"[^>]*Id="(rId\d+)"', rels)
    }
    video = re.search(r'a:videoFile [^>]*r:link="(rId\d+)"', slide)
    media = re.search(r'p14:media [^>]*r:embed="(rId\d+)"', slide)
    poster = re.search(r'a:blip [^>]*r:embed="(rId\d+)"', slide)
    assert video is not None
    assert media is not None
    assert poster is not None
    assert linked[video[1]] == linked[media[1]]
    assert linked[video[1]].endswith(".mp4")
    assert linked[poster[1]].endswith(".png")


def test_film_is_what_presentation_programs_document(talk: Path) -> None:
    """Microsoft, "Video and audio file formats supported in PowerPoint": H.264 in MP4.

    Microsoft, "H.264 Video Decoder" (Media Foundation): Baseline, Main, High up to level 5.1,
    4:2:0. ISO 14496-12: `moov` before `mdat`, so that it plays before all of it is there.
    """
    import av

    path = talk / "out/pictures/boiling.mp4"
    with av.open(str(path), format="mp4") as film:
        stream = film.streams.video[0].codec_context
        assert stream.name == "h264"
        assert stream.pix_fmt == "yuv420p"
        assert stream.profile in {"Baseline", "Constrained Baseline", "Main", "High"}
        assert (stream.width % 2, stream.height % 2) == (0, 0)
    data = path.read_bytes()
    assert data.index(b"moov") < data.index(b"mdat")
    # ISO 14496-15, 5.3.3.1: version, profile, compatibility, level (times ten).
    assert data[data.index(b"avcC") + 7] <= 51


def test_page_holds_all_and_asks_for_nothing(talk: Path) -> None:
    page = (talk / "out/talk.html").read_text(encoding="utf-8")
    assert page.count("<section") == 3
    assert "Say this." in page
    policy = re.search(r'Content-Security-Policy" content="([^"]*)"', page)
    assert policy is not None
    assert "default-src 'none'" in policy[1]
    assert "unsafe" not in policy[1]
    for source in re.findall(r'(?:src|href)="([^"]{0,12})', page):
        assert source.startswith("data:")
    assert " style=" not in page
    assert " onclick" not in page


def test_second_run_makes_nothing_anew(talk: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = {path: path.stat().st_mtime_ns for path in (talk / "out").rglob("*.p*")}
    words = ["talk", str(talk / "two.toml"), "--out", str(talk / "out"), "--json"]
    assert run(words) == 0
    assert json.loads(capsys.readouterr().out)["made_now"] == 0
    assert before == {path: path.stat().st_mtime_ns for path in (talk / "out").rglob("*.p*")}


def write(home: Path, text: str) -> list[str]:
    (home / "t.toml").write_text(text, encoding="utf-8")
    return ["talk", str(home / "t.toml"), "--out", str(home / "out")]


def test_only_what_changed_is_made_and_what_is_gone_is_removed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    other = WORDS.replace("sun", "moon").replace("Sun", "Moon")
    assert run([*write(tmp_path, HEAD + WORDS + other), "--quiet"]) == 0
    capsys.readouterr()
    changed = HEAD + WORDS.replace("A front filter only", "Only a front filter")
    assert run([*write(tmp_path, changed), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["made_now"] == 1
    assert not (tmp_path / "out/pictures/moon.png").exists()


def test_nothing_is_left_where_no_slide_could_be_made(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    broken = HEAD + VIEW.replace("power = 100", "power = 1e400")
    assert run(write(tmp_path, broken)) == 2
    told = capsys.readouterr().err
    assert "1 of 1 slides could not be made" in told
    assert "others" not in told
    assert not (tmp_path / "out").exists()
    # A folder that was there stays, and so does what it holds.
    (tmp_path / "out").mkdir()
    assert run([*write(tmp_path, broken), "--quiet"]) == 2
    assert (tmp_path / "out").is_dir()


def test_new_talk_is_not_begun_beside_one_that_is_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    new = tmp_path / "new.toml"
    assert run([*write(tmp_path, HEAD + VIEW)[:2], "--new", str(new)]) == 2
    assert "leave the other out" in capsys.readouterr().err
    assert not new.exists()


def test_broken_slide_is_named_and_the_others_are_made(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    broken = VIEW.replace("demo:tabletop-150", "missing.toml")
    assert run(write(tmp_path, HEAD + WORDS + broken)) == 2
    told = capsys.readouterr().err
    assert "slide 2 'saturn', line 9" in told
    assert "missing.toml" in told
    assert "1 of 2 slides could not be made" in told
    assert (tmp_path / "out/pictures/sun.png").exists()
    assert (tmp_path / "out/talk.pptx").exists()


def test_talk_stopped_before_its_first_slide_leaves_no_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stopped(*_: object) -> None:
        raise KeyboardInterrupt

    words = write(tmp_path, HEAD + WORDS)
    monkeypatch.setattr("simview.talk.making._drawn", stopped)
    assert run(words) != 0
    assert not (tmp_path / "out").exists()
    monkeypatch.undo()
    assert run(words) == 0


def test_deck_changed_by_hand_is_not_lost(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = write(tmp_path, HEAD + WORDS)
    assert run([*words, "--quiet"]) == 0
    deck = tmp_path / "out/talk.pptx"
    deck.write_bytes(b"my own")
    assert run(words) == 2
    assert "changed since it was made" in capsys.readouterr().err
    assert deck.read_bytes() == b"my own"
    assert run([*words, "--force", "--quiet"]) == 0
    assert deck.stat().st_size > 1000


def test_full_disk_leaves_what_was_made(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The third picture does not fit: the first two stay whole, and no piece of the third."""
    from simview.errors import FileError
    from simview.talk import making

    count = 0

    def full(path: Path, content: str | bytes, *, force: bool = False) -> Path:
        nonlocal count
        if str(path).endswith(".png"):
            count += 1
            if count == 3:
                raise FileError("file cannot be written (No space left)", where=str(path))
        return real(path, content, force=force)

    real = making.write_whole
    monkeypatch.setattr(making, "write_whole", full)
    slides = "".join(WORDS.replace("sun", f"s{n}") for n in range(4))
    assert run(write(tmp_path, HEAD + slides)) == 2
    assert "No space left" in capsys.readouterr().err
    pictures = sorted(path.name for path in (tmp_path / "out/pictures").glob("*.png"))
    assert pictures == ["s0.png", "s1.png"]
    for name in pictures:
        with Image.open(tmp_path / "out/pictures" / name) as image:
            image.load()


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("", ["[[slide]]"]),
        ("[[slide", ["TOML"]),
        (HEAD + "colour = 3\n" + WORDS, ["line 5", "unknown key", "colour"]),
        (HEAD + WORDS + "tilte = 3\n", ["line 9", "tilte", "'title'"]),
        (HEAD + VIEW + 'targt = "mars"\n', ["targt", "'target'", "line 15"]),
        (HEAD + '[[slide]]\ntitle = "Bare"\n', ["slide without a picture", "line 6"]),
        (HEAD + "[[slide]]\nlines = ['x']\n", ["title", "line 5"]),
        (HEAD + WORDS + WORDS, ["two slides with one name", "'sun'", "line 10"]),
        (HEAD + VIEW.replace('"view"', '"veiw"'), ["veiw", "'view'", "line 8"]),
        (HEAD + VIEW + 'lines = ["x"]\n', ["slide of two kinds"]),
        (HEAD + WORDS.replace('"sun"', '"../sun"'), ["name", "letters"]),
        (HEAD.replace("960x540", "9x5") + WORDS, ["size", "1920x1080"]),
        (HEAD + "slides_a_page = 9\n" + WORDS, ["slides_a_page", "2 to 6"]),
        (HEAD + 'logo = "none.png"\n' + WORDS, ["none.png", "line 5"]),
        (HEAD + VIEW + 'live = "yes"\n', ["live", "'yes'", "true or false"]),
        (HEAD + WORDS + "live = true\n", ["live", "view, ladder, compare"]),
        (HEAD + 'date = "soon"\n' + WORDS, ["date", "soon", "line 5", "2027-03-12"]),
        (HEAD + 'language = "tlh"\n' + WORDS, ["language", "tlh", "line 5", "en, de, es, fr"]),
        (HEAD + '[[slide]]\ntitle = "x"\npicture = "none.jpg"\n', ["none.jpg", "line 7"]),
    ],
)
def test_wrong_file_is_one_clear_line(
    text: str, parts: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(write(tmp_path, text)) == 2
    told = capsys.readouterr().err
    assert told.count("\n") == 1
    for part in parts:
        assert part in told
    assert not (tmp_path / "out").exists()


def test_film_too_long_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(write(tmp_path, HEAD + FILM.replace("frames = 4", "frames = 99999"))) == 2
    assert "1 to 1800" in capsys.readouterr().err


def test_folder_of_something_else_is_left_alone(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = write(tmp_path, HEAD + WORDS)
    (tmp_path / "out").mkdir()
    (tmp_path / "out/thesis.txt").write_text("years of work")
    assert run(words) == 2
    assert "something other than a talk" in capsys.readouterr().err
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["thesis.txt"]


def test_starter_and_demo_are_talks(tmp_path: Path) -> None:
    from simview.cli.commands.talk import MAKERS, options_of
    from simview.talk.spelling import spelled
    from simview.talk.talk_file import read_talk

    starter = tmp_path / "mine.toml"
    assert run(["talk", "--new", str(starter), "--quiet"]) == 0
    assert run(["talk", "--new", str(starter)]) == 2
    known = options_of(MAKERS)
    for file in (starter, asset("talk.toml")):
        talk = read_talk(file, known)
        for slide in talk.slides:
            if slide.command:
                assert spelled(slide, talk, known)[0] == slide.command
    assert len(read_talk(asset("talk.toml"), known).slides) == 12


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en", "12 March 2027"),
        ("de", "12. März 2027"),
        ("fr", "12 mars 2027"),
        ("es", "12 de marzo de 2027"),
    ],
)
def test_day_of_the_talk_is_said_and_shown(language: str, said: str, tmp_path: Path) -> None:
    """CLDR's long dates."""
    from simview.cli.commands.talk import MAKERS, options_of
    from simview.talk.spelling import spelled
    from simview.talk.talk_file import read_talk

    known = options_of(MAKERS)
    head = HEAD + f'date = 2027-03-12\nlanguage = "{language}"\nfooter = "Club, {{date}}"\n'
    view = VIEW.replace("Small and sharp", "Saturn on {date}") + 'date = "talk"\n'
    (tmp_path / "t.toml").write_text(head + view, encoding="utf-8")
    talk = read_talk(tmp_path / "t.toml", known)
    assert talk.slides[0].title == f"Saturn on {said}"
    assert talk.footer == f"Club, {said}"
    words = spelled(talk.slides[0], talk, known)
    assert words[words.index("--date") + 1] == "2027-03-12"
    assert words[words.index("--lang") + 1] == language


def test_live_slides_lead_to_the_page_with_the_talks_own_key(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    from pptx import Presentation

    from simview.demo import asset
    from simview.live import serve

    own = asset("kits/toy-refractor-50.toml").read_text(encoding="utf-8")
    (tmp_path / "mine.toml").write_text(own, encoding="utf-8")
    view = VIEW.replace('"demo:tabletop-150"', '"mine.toml"').replace("power = 100", "power = 60")
    words = write(tmp_path, HEAD + view + "live = true\nseeing = 1.5\n")
    assert run([*words, "--quiet"]) == 0
    (slide,) = Presentation(str(tmp_path / "out/talk.pptx")).slides
    links = {
        run_.hyperlink.address
        for shape in slide.shapes
        if shape.has_text_frame
        for paragraph in shape.text_frame.paragraphs
        for run_ in paragraph.runs
        if run_.hyperlink.address
    }
    (link,) = links
    key = re.search(r"\?key=([\w-]{20,})#", link)
    assert key is not None
    assert link.endswith("room=see&object=saturn&kit=mine.toml&power=60&seeing=1.5&stage=1")
    assert str(tmp_path) not in link
    # The key stays the same from one making to the next.
    assert run([*words, "--quiet"]) == 0
    served: dict[str, object] = {}
    monkeypatch.setattr(
        serve, "serve", lambda table, **how: served.update(how, words=list(table.files))
    )
    capsys.readouterr()
    assert run(["live", "--talk", str(tmp_path / "out"), "--no-browser"]) == 0
    assert served["key"] == key[1]
    assert served["port"] == serve.USUAL_PORT == 8467
    assert served["words"][0] == "mine.toml"  # type: ignore[index]


@pytest.mark.parametrize(
    ("words", "parts"),
    [
        (["--talk", "nowhere"], ["nowhere", "no talk with live slides"]),
        (["--talk", "nowhere", "--port", "8500"], ["--port", "--talk"]),
    ],
)
def test_live_talk_that_cannot_be_is_one_line(
    words: list[str],
    parts: list[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run(["live", *words]) == 2
    told = capsys.readouterr().err
    assert told.count("\n") == 1
    assert all(part in told for part in parts)


def test_arguments_of_commands_are_keys_too(tmp_path: Path) -> None:
    from simview.cli.commands.talk import MAKERS, options_of
    from simview.talk.spelling import spelled
    from simview.talk.talk_file import read_talk

    known = options_of(MAKERS)
    text = (
        HEAD
        + '[defaults]\nkit = "demo:tabletop-150"\n'
        + (
            '[[slide]]\ntitle = "Größe"\ncommand = "eyepiece"\ndesign = "kellner"\n'
            "focal_length = 20\n"
            '[[slide]]\ntitle = "b"\ncommand = "targets"\nnamed = "castor"\n'
            '[[slide]]\ntitle = "c"\ncommand = "collimate"\n'
        )
    )
    (tmp_path / "t.toml").write_text(text, encoding="utf-8")
    talk = read_talk(tmp_path / "t.toml", known)
    assert talk.slides[0].name == "grosse"
    eyepiece, targets, collimate = (spelled(slide, talk, known) for slide in talk.slides)
    assert eyepiece[:3] == ["eyepiece", "--telescope", "demo:tabletop-150"]
    assert "kellner" in eyepiece
    assert targets[:3] == ["targets", "--kit", "demo:tabletop-150"]
    assert collimate[:2] == ["collimate", "demo:tabletop-150"]


def test_without_a_day_it_is_today(tmp_path: Path) -> None:
    from datetime import date

    from simview.talk.talk_file import read_talk

    (tmp_path / "t.toml").write_text(HEAD + WORDS, encoding="utf-8")
    before = date.today()
    assert before <= read_talk(tmp_path / "t.toml", {}).day <= date.today()


def test_handout_holds_every_note(tmp_path: Path) -> None:
    """Notes far too long for their place go on at the end: the page's text holds them all."""
    import shutil
    import subprocess

    if shutil.which("pdftotext") is None:
        pytest.skip("pdftotext (Debian: poppler-utils) is not installed")
    notes = " ".join(f"word{n}" for n in range(900))
    text = HEAD + WORDS + f'notes = "{notes}"\n'
    assert run([*write(tmp_path, text), "--quiet"]) == 0
    told = subprocess.run(
        ["pdftotext", str(tmp_path / "out/handout.pdf"), "-"],
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    assert all(f"word{n}" in told for n in (0, 450, 899))
    assert "A source, 1966" in told
    assert re.search(r"Page 1 of \d", told)


def test_office_program_opens_the_deck(talk: Path) -> None:
    """LibreOffice, a second program, lays it out: three pages, the pictures on them."""
    import shutil
    import subprocess

    office = shutil.which("soffice")
    if office is None or shutil.which("pdftotext") is None:
        pytest.skip("LibreOffice or poppler-utils is not installed; the deck was not opened in it")
    out = talk / "out"
    command = [office, f"-env:UserInstallation=file://{talk}/office", "--headless"]
    command += ["--convert-to", "pdf", "--outdir", str(talk), str(out / "talk.pptx")]
    subprocess.run(command, capture_output=True, check=True, timeout=300)
    subprocess.run(
        ["pdftoppm", "-r", "48", "-png", str(talk / "talk.pdf"), str(talk / "p")], check=True
    )
    pages = sorted(talk.glob("p-*.png"))
    assert len(pages) == 3
    for page, name in zip(pages, ("saturn", "sun", "boiling"), strict=True):
        with Image.open(page) as shown, Image.open(out / f"pictures/{name}.png") as made:
            small = made.convert("L").resize((64, 36), Image.Resampling.BOX)
            seen = shown.convert("L").resize((64, 36), Image.Resampling.BOX)
            differ = [abs(a - b) for a, b in zip(small.tobytes(), seen.tobytes(), strict=True)]
            # JPEG and resampling cost a few grey levels of 255.
            assert sum(differ) / len(differ) < 6.0


def test_what_is_wrong_with_a_slide_is_told_in_quiet_too(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    broken = VIEW.replace("demo:tabletop-150", "nowhere.toml")
    assert run([*write(tmp_path, HEAD + WORDS + broken), "--quiet"]) == 2
    told = capsys.readouterr().err.splitlines()
    assert len(told) == 2
    assert "nowhere.toml" in told[0]
    assert "line 9" in told[0]


def test_unknown_default_is_told_with_its_own_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    line = 'kitt = "150/750"'
    words = f"{HEAD}{WORDS}[defaults]\n{line}\n"
    assert run(write(tmp_path, words)) == 2
    told = capsys.readouterr().err
    assert f"line {words.splitlines().index(line) + 1}:" in told
    assert "kitt" in told


def test_files_made_from_long_titles_end_with_a_word(tmp_path: Path) -> None:
    title = "Abgek\u00fchlt zeigt der Spiegel doppelt so viel wie vorher"
    words = f'{HEAD}[[slide]]\ntitle = "{title}"\nlines = ["x"]\n'
    assert run([*write(tmp_path, words), "--quiet"]) == 0
    assert (tmp_path / "out/pictures/abgekuhlt-zeigt-der-spiegel-doppelt-so.png").is_file()
