"""What is wrong in a designer's own layout is said with file and line, and nothing is written."""

from __future__ import annotations

import io
import re
import shutil
from itertools import pairwise
from pathlib import Path
from typing import Any

import font_source_serif_pro
import pdfplumber
import pikepdf
import pytest
from PIL import Image

from gatherfold.cli import main
from gatherfold.shipped import LAYOUTS, layout_names
from tests.documents.test_layouts import METRIC, build, change, copied, line_of, with_font
from tests.test_cli import SMALL


@pytest.fixture
def own_layout(tmp_path: Path) -> Path:
    return copied("pattern", tmp_path)


@pytest.fixture
def few_parts(own_layout: Path) -> Path:
    """The same with two pages, for what does not depend on the others."""
    settings = own_layout / "mine" / "layout.yaml"
    written, count = re.subn(r"(?m)^parts:.*$", "parts: cover, making", settings.read_text())
    assert count == 1
    settings.write_text(written)
    return own_layout


# Mistakes


def test_a_part_that_a_layout_lacks_is_said_with_those_that_it_has(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = copied("bench", tmp_path)
    (folder / "mine" / "layout.yaml").write_text("parts: cover, steps\n")
    assert build(folder) == 2
    said = capsys.readouterr().err
    assert "layout.yaml:1:15: error (unknown-value): this layout has no part 'steps'" in said
    assert "It has: cover, cut_list, sheet_maps, pieces, terms." in said


@pytest.mark.parametrize(
    ("layout", "parts"), [("bench", "parts: cover, cut_list, terms, sheet_maps"), ("handout", "")]
)
def test_without_the_key_a_layout_shows_all_parts_it_has(
    tmp_path: Path, layout: str, parts: str
) -> None:
    """With settings that name none, and without any settings."""
    folder = copied(layout, tmp_path)
    if parts:
        change(folder, "layout.yaml", parts, "")
    else:
        (folder / "mine" / "layout.yaml").unlink()
    assert build(folder, *METRIC, "--html") == 0
    html = (folder / "out" / "folder-metric-mine.html").read_text()
    assert 'id="sheet-maps"' in html
    assert 'id="pieces"' in html
    assert ('id="steps"' in html) == (layout == "handout")
    assert ('id="steps"' in html) == (layout == "handout")


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        (
            "{{ document.subtitle }}",
            "{{ document.sumary }}",
            "the document has no field 'sumary'. Did you mean 'summary'?",
        ),
        (
            "{{ document.subtitle }}",
            "{{ document.steps[0].titel }}",
            "the step has no field 'titel'. Did you mean 'title'?",
        ),
        (
            "{{ document.subtitle }}",
            "{{ t.safty }}",
            "the fixed wording has no 'safty'. Did you mean 'safety'?",
        ),
        ("{{ document.subtitle }}", "{{ document.beside.title }}", "'.title' is asked of is empty"),
        ("{{ document.subtitle }}", "{{ docment.title }}", "Did you mean 'document'?"),
        ("{% for text in document.conventions %}", "{% for text document %}", "expected token"),
        ("{{ document.subtitle }}", "{{ facts }}", "Templates know document, t and page"),
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
        (
            "document.html.j2",
            "</h1>",
            '</h1><img src="no-such.png" alt="x">',
            "the picture 'no-such.png' cannot be used: it does not exist",
        ),
        (
            "document.html.j2",
            "</h1>",
            '</h1><p style="colour: red">x</p>',
            "document.html.j2: `colour: red` cannot be used: unknown property",
        ),
        ("document.html.j2", "</h1>", '</h1><img src="logo.png">', "no required alt"),
        ("style.css", "html {", "html { colour: red;", "`colour: red` cannot be used"),
        ("style.css", "html {", "html:no { } html {", "the selector 'html:no' cannot be used"),
        (
            "style.css",
            "@import url(",
            "@import url('other.css'); @import url(",
            "the stylesheet 'other.css' cannot be used: it does not exist",
        ),
        (
            "style.css",
            "html {",
            "@import url('other.css'); html {",
            '`@import url("other.css")` must stand above every other rule',
        ),
        ("style.css", '"Source Sans Pro", sans', '"Source Snas Pro", sans', "'Source Snas Pro'"),
        (
            "style.css",
            "html {",
            "@font-face { font-family: Gone; src: url('gone.ttf'); } html {",
            "the font 'Gone' cannot be loaded",
        ),
    ],
)
def test_what_cannot_be_set_is_said_and_nothing_written(
    few_parts: Path,
    capsys: pytest.CaptureFixture[str],
    name: str,
    old: str,
    new: str,
    message: str,
) -> None:
    Image.new("RGB", (30, 10), "black").save(few_parts / "mine" / "logo.png")
    change(few_parts, name, old, new)
    assert build(few_parts) == 2
    said = capsys.readouterr().err
    assert message in said and "gnored" not in said
    assert f"mine/{name}:" in said or "no required alt" in said
    assert not (few_parts / "out").exists()


def test_a_rule_is_said_with_its_line_in_the_file_that_has_it(
    few_parts: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """In the stylesheet, and in a shared file of the layout's own."""
    mine = few_parts / "mine"
    shutil.copytree(LAYOUTS / "common", mine / "common")
    for name, old, new in (
        ("style.css", "h1 {", "h1 { colour: red;"),
        ("common/base.css", "body {", "body { colr: red;"),
    ):
        change(few_parts, name, old, new)
    assert build(few_parts) == 2
    said = capsys.readouterr().err
    for name, written in (("style.css", "colour: red"), ("common/base.css", "colr: red")):
        line = line_of(few_parts, name, written)
        assert re.search(rf"mine/{name}:{line}:\d+: `{written}` cannot be used", said), said


# Fonts and the paper's edge


def test_a_font_that_is_not_there_is_said_with_those_that_are(
    few_parts: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Another family first, and a right one to fall back to: it would still not be the one."""
    font = font_source_serif_pro.font_files_ttf["SourceSerifProBold"]
    shutil.copy(font, few_parts / "mine" / "mine.ttf")
    style = (few_parts / "mine" / "style.css").read_text()
    (few_parts / "mine" / "style.css").write_text(with_font(style))
    change(few_parts, "style.css", 'font-family: "Mine", serif', 'font-family: "Mien", "Mine"')
    assert build(few_parts) == 2
    said = capsys.readouterr().err
    line = line_of(few_parts, "style.css", '"Mien"')
    assert f"style.css:{line}: there is no font 'Mien'. Did you mean 'Mine'?" in said
    assert "can be used: Mine, Source Sans Pro, Source Serif Pro;" in said
    assert not (few_parts / "out").exists()


def test_generic_families_can_be_used(few_parts: Path) -> None:
    style = (few_parts / "mine" / "style.css").read_text()
    generic = style.replace('"Source Sans Pro", sans-serif', "Sans-Serif")
    assert generic != style
    (few_parts / "mine" / "style.css").write_text(generic)
    assert build(few_parts) == 0


@pytest.mark.parametrize(
    ("place", "distance"),
    [("left: 200mm; top: 20mm", ""), ("left: -40mm", "21"), ("top: 290mm", "")],
)
def test_what_runs_off_the_paper_is_said_with_its_page(
    few_parts: Path, capsys: pytest.CaptureFixture[str], place: str, distance: str
) -> None:
    """The left margin of the pattern is 19 mm: 40 mm to the left of it are 21 mm off."""
    words = f'<p style="position: absolute; white-space: nowrap; {place}">Over the edge</p>'
    change(few_parts, "document.html.j2", "<h2>{{ t.what_you_make }}</h2>", words)
    assert build(few_parts) == 2
    said = capsys.readouterr().err
    assert re.search(rf"mine: page 2: 'Over the edge' runs {distance or '[0-9]+'} mm off", said)
    assert said.count("off the paper") == 1 and not (few_parts / "out").exists()


def test_what_is_cut_off_at_its_box_is_not_off_the_paper(few_parts: Path) -> None:
    """As in the running foot, where a title too long for it is cut."""
    text = SMALL.replace("title: Note folder", f"title: {'A very long title indeed ' * 12}")
    (few_parts / "folder.yaml").write_text(text)
    assert build(few_parts) == 0


@pytest.mark.parametrize("layout", layout_names())
def test_columns_of_a_cut_list_fit_a_narrow_page(tmp_path: Path, layout: str) -> None:
    """On A5 the size of a cut ends before the next column begins, whatever the layout."""
    folder = copied(layout, tmp_path)
    settings = "paper: a5\nmargins: 14 mm\nparts: cover, cut_list\n"
    (folder / "mine" / "layout.yaml").write_text(settings)
    assert build(folder) == 0
    with pdfplumber.open(folder / "out" / "folder-metric-mine.pdf") as document:
        chars = [char for page in document.pages for char in page.chars]
    lines: dict[tuple[int, float], list[dict[str, Any]]] = {}
    for char in chars:
        lines.setdefault((char["page_number"], round(char["bottom"], 1)), []).append(char)
    assert sum("Code" in "".join(char["text"] for char in line) for line in lines.values()) >= 1
    for line in lines.values():
        placed = sorted(line, key=lambda char: float(char["x0"]))
        gaps = [after["x0"] - before["x1"] for before, after in pairwise(placed)]
        assert min(gaps, default=0) > -1.5, "".join(char["text"] for char in placed)


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
    few_parts: Path, tmp_path_factory: pytest.TempPathFactory, attack: str
) -> None:
    outside = tmp_path_factory.mktemp("outside")
    Image.new("RGB", (30, 10), "black").save(outside / "secret.png")
    (outside / "secret.html").write_text("secret")
    (few_parts / "mine" / "link.png").symlink_to(outside / "secret.png")
    (few_parts / "mine" / "link.html").symlink_to(outside / "secret.html")
    change(few_parts, "document.html.j2", "{{ document.subtitle }}", attack)
    assert build(few_parts) == 2
    assert not (few_parts / "out").exists()


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
    few_parts: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Never a silent empty box: U+1FA81 is in none of the fonts."""
    text = SMALL.replace("title: Note folder", 'title: "Kites \U0001fa81"')
    (few_parts / "folder.yaml").write_text(text)
    assert build(few_parts) == 2
    said = capsys.readouterr().err
    assert "U+1FA81" in said and "ake it out, or add a font" in said
