"""A designer's own layout: made as the README says, and refused with file and line where wrong."""

from __future__ import annotations

import io
import re
import shutil
from pathlib import Path

import font_source_serif_pro
import pikepdf
import pypdfium2
import pytest
from PIL import Image

from builder.build import EditionResult
from builder.cli import main
from builder.shipped import LAYOUTS, layout_names
from tests.documents.conftest import Name
from tests.test_cli import SMALL


@pytest.fixture(params=layout_names())
def any_layout(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    return copied(request.param, tmp_path)


@pytest.fixture
def own_layout(tmp_path: Path) -> Path:
    return copied("pattern", tmp_path)


def copied(name: str, folder: Path) -> Path:
    """A folder with a small design and a copy of a shipped layout beside it."""
    shutil.copytree(LAYOUTS / name, folder / "mine")
    (folder / "folder.yaml").write_text(SMALL)
    return folder


def build(folder: Path, *options: str) -> int:
    design, out = str(folder / "folder.yaml"), str(folder / "out")
    return main(["build", design, "--out", out, "--layout", "mine", *(options or METRIC)])


METRIC = ("--edition", "metric")


def change(folder: Path, name: str, old: str, new: str) -> None:
    path = folder / "mine" / name
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new, 1))


def line_of(folder: Path, name: str, text: str) -> int:
    lines = (folder / "mine" / name).read_text().splitlines()
    return next(number for number, line in enumerate(lines, start=1) if text in line)


# As an outsider would


def test_a_copied_layout_builds_as_it_is(any_layout: Path) -> None:
    assert build(any_layout) == 0
    assert (any_layout / "out" / "folder-metric-mine.pdf").is_file()


def test_everything_that_the_readme_lets_a_designer_change(own_layout: Path) -> None:
    """Logo, colour, font, terms, paper, margins, drawings and order, each as the README says."""
    mine = own_layout / "mine"
    Image.new("RGB", (300, 100), "#1c4b5e").save(mine / "logo.png")
    font = font_source_serif_pro.font_files_ttf["SourceSerifProBold"]
    shutil.copy(font, mine / "mine.ttf")
    (mine / "layout.yaml").write_text(
        "paper: {imperial: half letter, metric: a5}\n"
        "margins: {top: 12 mm, left: 14 mm, right: 14 mm, bottom: 15 mm}\n"
        "figures: {step: page.width x 50 mm, sheet: page.width * 3/5 x 60 mm}\n"
        "parts: cover, steps, cut_list, terms\n"
        'logo: {file: logo.png, words: "Kite Press"}\n'
    )
    style = (mine / "style.css").read_text().replace("#1c4b5e", "#7a1f3d")
    face = '@font-face { font-family: "Mine"; src: url("mine.ttf"); }\n'
    start = style.index("@page")
    style = style[:start] + face + style[start:]
    (mine / "style.css").write_text(style.replace('"Source Serif Pro", serif', '"Mine", serif'))
    change(own_layout, "document.html.j2", "{{ document.terms }}", "<p>Only for my guild.</p>")

    assert build(own_layout, "--edition", "both", "--html") == 0
    with pikepdf.open(own_layout / "out" / "folder-metric-mine.pdf") as pdf:
        box = [float(side) for side in pdf.pages[0].mediabox]
        fonts = {str(each.get("/FontName", "")) for each in pdf.objects if is_dictionary(each)}
    # A5 by ISO 216: 148 x 210 mm.
    assert box[2:] == pytest.approx([148 / 25.4 * 72, 210 / 25.4 * 72], abs=0.2)
    assert any("Serif" in name and "Bold" in name for name in fonts)
    html = (own_layout / "out" / "folder-metric-mine.html").read_text()
    assert 'alt="Kite Press"' in html and "Only for my guild." in html
    assert html.index('id="steps"') < html.index('id="cut-list"')
    assert "Working safely" not in html


def is_dictionary(thing: object) -> bool:
    return isinstance(thing, pikepdf.Dictionary)


def test_a_shared_file_can_be_replaced_in_a_copy(own_layout: Path) -> None:
    (own_layout / "mine" / "common").mkdir()
    shared = (LAYOUTS / "common" / "parts.html.j2").read_text()
    changed = shared.replace('<p class="need">', '<p class="need">First of all: ')
    (own_layout / "mine" / "common" / "parts.html.j2").write_text(changed)
    assert build(own_layout, *METRIC, "--html") == 0
    assert "First of all: " in (own_layout / "out" / "folder-metric-mine.html").read_text()


def test_several_layouts_at_once_and_their_names(tmp_path: Path) -> None:
    (tmp_path / "folder.yaml").write_text(f"layout: pattern, handout, bench\n{SMALL}")
    out = tmp_path / "out"
    assert main(["build", str(tmp_path / "folder.yaml"), "--out", str(out), *METRIC]) == 0
    names = sorted(path.name for path in out.glob("*.pdf"))
    assert names == [
        "folder-metric-bench.pdf",
        "folder-metric-handout.pdf",
        "folder-metric.pdf",
    ]


@pytest.mark.parametrize(
    ("names", "message"),
    [
        ("pattern, handuot", "Did you mean 'handout'?"),
        ("pattern,,bench", "there is no layout ''"),
        ("bench, bench", "two layouts are called 'bench'"),
    ],
)
def test_a_layout_that_is_not_there(
    own_layout: Path, capsys: pytest.CaptureFixture[str], names: str, message: str
) -> None:
    assert main(["build", str(own_layout / "folder.yaml"), "--layout", names]) == 2
    assert message in capsys.readouterr().err


@pytest.mark.parametrize("edition", ["imperial", "metric"])
def test_the_bench_copy_of_the_folio_has_two_to_four_pages(
    built_folio: dict[str, EditionResult], edition: str
) -> None:
    """As few as lie beside a trimmer, and none of its sheets without its map or its cuts."""
    made = built_folio[edition].documents["bench"]
    with pikepdf.open(io.BytesIO(made.pdf)) as pdf:
        assert 2 <= len(pdf.pages) <= 4
    sheets = made.html.count('class="sheet-map"')
    assert sheets > 12 and made.html.count('class="sheet-cuts"') >= sheets


# The handout


def test_the_step_that_cuts_sends_nobody_to_maps_that_are_not_there(
    tmp_path: Path,
) -> None:
    """The handout has no sheet maps as shipped; with that part it has, and says so."""
    folder = copied("handout", tmp_path)
    assert build(folder, *METRIC, "--html") == 0
    html = (folder / "out" / "folder-metric-mine.html").read_text()
    assert "check them against the cut list" in html and "by their maps" not in html
    assert html.count("This copy has no sheet maps") == 1, "once, in the step that cuts"

    change(folder, "layout.yaml", "cut_list, steps", "cut_list, sheet_maps, steps")
    assert build(folder, *METRIC, "--html") == 0
    html = (folder / "out" / "folder-metric-mine.html").read_text()
    assert "Cut the sheets by their maps" in html and "no sheet maps" not in html


def test_the_cover_says_the_skill_and_the_time_that_the_steps_add_up_to(tmp_path: Path) -> None:
    folder = copied("handout", tmp_path)
    (folder / "folder.yaml").write_text(f"skill: Old hands\n{SMALL}")
    assert build(folder, *METRIC, "--html") == 0
    html = (folder / "out" / "folder-metric-mine.html").read_text().replace("\u00a0", " ")
    steps = re.findall(r'step-time">about (\d+) min', html)
    assert steps and f"<td>about {sum(map(int, steps))} min</td>" in html
    assert "<td>Old hands</td>" in html


def test_steps_of_the_handout_stand_two_on_a_page(documents: dict[Name, bytes]) -> None:
    """Half a page for each step: only the first and the last page of a design's steps may have
    one alone."""
    for (_, edition, layout), pdf in documents.items():
        if layout != "handout" or edition == "side-by-side":
            continue
        steps: dict[int, int] = {}
        for entry in pypdfium2.PdfDocument(pdf).get_toc():
            if entry.level == 1 and entry.get_title()[0].isdigit():
                page = entry.get_dest().get_index()
                steps[page] = steps.get(page, 0) + 1
        pages = sorted(steps)
        assert all(steps[page] == 2 for page in pages[1:-1]), steps
        assert pages == list(range(pages[0], pages[-1] + 1))


def test_every_step_of_the_handout_has_lines_for_notes(documents: dict[Name, bytes]) -> None:
    """Between the word Notes and what follows it, white and ruled, there are 17 mm at least."""
    for (_, edition, layout), pdf in documents.items():
        if layout != "handout" or edition == "side-by-side":
            continue
        document = pypdfium2.PdfDocument(pdf)
        for page in document:
            text = page.get_textpage()
            boxes = [text.get_rect(index) for index in range(text.count_rects())]
            words = [(box, text.get_text_bounded(*box).strip()) for box in boxes]
            for box, word in words:
                if word == "Notes":
                    below = [top for (_, _, _, top), _ in words if top < box[1]]
                    assert box[1] - max(below) > 17 / 25.4 * 72


# Mistakes


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("{{ document.subtitle }}", "{{ document.subtitel }}", "subtitel"),
        ("{% for text in document.conventions %}", "{% for text document %}", "expected token"),
        ("{{ document.subtitle }}", "{{ facts }}", "'facts' is undefined"),
        ("{{ document.subtitle }}", "{% include 'foot.html' %}", "no 'foot.html' to include"),
    ],
)
def test_a_mistake_in_a_template_is_said_with_its_line(
    own_layout: Path, capsys: pytest.CaptureFixture[str], old: str, new: str, message: str
) -> None:
    change(own_layout, "document.html.j2", old, new)
    line = line_of(own_layout, "document.html.j2", new)
    assert build(own_layout) == 2
    said = capsys.readouterr().err
    assert f"document.html.j2:{line}: " in said and message in said
    assert not (own_layout / "out").exists()


@pytest.mark.parametrize(
    ("written", "place", "message"),
    [
        ("papr: a4", "1:1", "Did you mean 'paper'?"),
        ("paper: foolscap", "1:8", "no paper 'foolscap'"),
        ("margins: 90 mm", "1:1", "the margins leave 30 x 117 mm"),
        ("margins: {top: 10}", "1:16", "a length here needs its unit"),
        ("figures: {stp: 30 mm x 30 mm}", "1:11", "Did you mean 'step'?"),
        ("figures: {step: page.witdh x 30 mm}", "1:17", "Did you mean 'page.width'?"),
        ("figures: {step: 400 mm x 30 mm}", "1:17", "larger than the page"),
        ("figures: {step: 5 mm x 30 mm}", "1:17", "so small a figure"),
        ("parts: cover, stepps", "1:15", "Did you mean 'steps'?"),
        ("fill_pages: maybe", "1:13", "no value of 'fill_pages'"),
        ("logo: {file: ../folder.yaml, words: x}", "1:7", "is not in this layout"),
        ("logo: {file: logo.png}", "1:7", "has no 'words'"),
    ],
)
def test_a_mistake_in_the_settings_is_said_with_its_place(
    own_layout: Path,
    capsys: pytest.CaptureFixture[str],
    written: str,
    place: str,
    message: str,
) -> None:
    (own_layout / "mine" / "layout.yaml").write_text(f"{written}\n")
    assert build(own_layout) == 2
    said = capsys.readouterr().err
    assert f"layout.yaml:{place}: error" in said and message in said
    assert not (own_layout / "out").exists()


@pytest.mark.parametrize(
    ("name", "old", "new", "message"),
    [
        ("document.html.j2", "</h1>", '</h1><img src="no-such.png" alt="x">', "no-such.png"),
        ("document.html.j2", "</h1>", '</h1><img src="logo.png">', "no required alt"),
        ("style.css", "html {", "html { colour: red;", "colour"),
        ("style.css", "html {", "@import url('other.css'); html {", "other.css"),
        (
            "style.css",
            "html {",
            "@font-face { font-family: Gone; src: url('gone.ttf'); } html {",
            "Font-face 'Gone' cannot be loaded",
        ),
    ],
)
def test_what_cannot_be_set_is_said_and_nothing_written(
    own_layout: Path,
    capsys: pytest.CaptureFixture[str],
    name: str,
    old: str,
    new: str,
    message: str,
) -> None:
    Image.new("RGB", (30, 10), "black").save(own_layout / "mine" / "logo.png")
    change(own_layout, name, old, new)
    assert build(own_layout) == 2
    assert message in capsys.readouterr().err
    assert not (own_layout / "out").exists()


# Attacks


@pytest.mark.parametrize(
    "attack",
    [
        "{{ document.__class__.__mro__ }}",
        "{{ ''.__class__.__base__.__subclasses__() }}",
        "{{ document['__class__'] }}",
        "{{ document|attr('__class__') }}",
        "{{ img.__globals__ }}",
        "{{ self.__init__.__globals__ }}",
        "{{ cycler.__init__.__globals__.os.system('true') }}",
        "{{ '{0.__class__}'.format(document) }}",
        "{{ '{x.__class__}'.format_map({'x': document}) }}",
        "{{ document.text.update({'draft': 'x'}) }}",
        "{% set _ = t.clear() %}",
        "{% include '../../folder.yaml' %}",
        "{% include '/etc/hostname' %}",
        "{% include 'common/../../pyproject.toml' %}",
        "{% include 'pattern/style.css' %}",
        "{% include 'link.html' %}",
        "{% for n in range(99999999) %}x{% endfor %}",
        '<img src="file:///etc/hostname" alt="x">',
        '<img src="../../../etc/hostname" alt="x">',
        '<img src="common/../../secret.png" alt="x">',
        '<img src="link.png" alt="x">',
        '<img src="http://localhost:9/x.png" alt="x">',
        "<link rel=stylesheet href='file:///etc/hostname'>",
        "<style>@import url('file:///etc/hostname');</style>",
        "<p style=\"background: url('file:///etc/hostname')\">x</p>",
    ],
)
def test_templates_reach_neither_the_program_nor_the_disk(
    own_layout: Path, tmp_path_factory: pytest.TempPathFactory, attack: str
) -> None:
    outside = tmp_path_factory.mktemp("outside")
    Image.new("RGB", (30, 10), "black").save(outside / "secret.png")
    (outside / "secret.html").write_text("secret")
    (own_layout / "mine" / "link.png").symlink_to(outside / "secret.png")
    (own_layout / "mine" / "link.html").symlink_to(outside / "secret.html")
    change(own_layout, "document.html.j2", "{{ document.subtitle }}", attack)
    assert build(own_layout) == 2
    assert not (own_layout / "out").exists()


def test_hostile_design_text_is_shown_as_text(own_layout: Path) -> None:
    """HTML, script, template syntax, right-to-left text and a very long word in a design."""
    title = 'title: "<script>alert(1)</script> {{ document }} שלום"'
    text = SMALL.replace("title: Note folder", title)
    text = text.replace('"Leave {reveal}', f'"<b>no</b> {"a" * 400} leave {{reveal}}')
    (own_layout / "folder.yaml").write_text(text)
    design, out = str(own_layout / "folder.yaml"), own_layout / "out"
    arguments = ["build", design, "--out", str(out), "--edition", "metric", "--html"]
    assert main(arguments) == 0
    html = (out / "folder-metric.html").read_text()
    assert "<script>" not in html and "&lt;script&gt;" in html and "{{ document }}" in html
    assert "<b>no</b>" not in html
    with pikepdf.open(io.BytesIO((out / "folder-metric.pdf").read_bytes())) as pdf:
        assert pdf.check_pdf_syntax() == []


def test_a_character_that_no_font_has_is_said(
    own_layout: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Never a silent empty box: U+1FA81 is in none of the fonts."""
    text = SMALL.replace("title: Note folder", 'title: "Kites \U0001fa81"')
    (own_layout / "folder.yaml").write_text(text)
    assert build(own_layout) == 2
    said = capsys.readouterr().err
    assert "U+1FA81" in said and "ake it out, or add a font" in said
