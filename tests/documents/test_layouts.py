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

from gatherfold.cli import main
from gatherfold.documents.page import ROOMS, read_page
from gatherfold.documents.step_figures import steps_alone
from gatherfold.resolve.edition import EDITIONS
from gatherfold.shipped import DESIGNS, LAYOUTS, design_names, layout_names
from tests.built import built, pdf_of
from tests.drawn import figures_in
from tests.test_cli import SMALL
from tests.works import checked


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
README = (LAYOUTS / "README.md").read_text()


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
    (mine / "style.css").write_text(with_font(style))
    change(own_layout, "document.html.j2", "{{ document.terms }}", "<p>Only for my guild.</p>")

    assert build(own_layout, "--edition", "both", "--html") == 0
    with pikepdf.open(own_layout / "out" / "folder-metric-mine.pdf") as pdf:
        box = [float(side) for side in pdf.pages[0].mediabox]
        fonts = {str(each.get("/FontName", "")) for each in pdf.objects if is_dictionary(each)}
    # A5 by ISO 216: 148 x 210 mm.
    assert box[2:] == pytest.approx([148 / 25.4 * 72, 210 / 25.4 * 72], abs=0.2)
    assert any("Mine" in name for name in fonts) and not any("Serif" in name for name in fonts)
    html = (own_layout / "out" / "folder-metric-mine.html").read_text()
    assert 'alt="Kite Press"' in html and "Only for my guild." in html
    assert html.index('id="steps"') < html.index('id="cut-list"')
    assert "Working safely" not in html


def with_font(style: str) -> str:
    """The readme's ``@font-face`` below the import, and its family in every rule with the serif."""
    face = next(line.strip() for line in README.splitlines() if 'url("mine.ttf")' in line)
    imported = '@import url("common/base.css");\n'
    assert imported in style and f"Below `{imported.strip()}`" in README
    return style.replace(imported, f"{imported}{face}\n").replace('"Source Serif Pro"', '"Mine"')


def test_the_readme_says_the_room_of_every_figure() -> None:
    rows = re.findall(r"^\| ((?:`\w+`(?:, )?)+) \| `([^`]+)` \|$", README, re.M)
    said = {kind: room for kinds, room in rows for kind in re.findall(r"\w+", kinds)}
    assert said == {name: room.standard for name, room in ROOMS.items()}


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
def test_the_bench_copy_of_the_folio_has_two_to_four_pages(edition: str) -> None:
    """As few as lie beside a trimmer, and none of its sheets without its map or its cuts."""
    made = built("observatory-folio", edition).result.documents["bench"]
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

    change(folder, "layout.yaml", "cut_list, pieces", "cut_list, sheet_maps, pieces")
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


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("design", design_names())
def test_steps_of_the_handout_stand_two_on_a_page_or_alone(design: str, edition: str) -> None:
    """Half a page for each step, or all of it where its drawings need the room; others are alone
    for want of another: on the first page, the last one, and before the first that needs a page."""
    pages: dict[int, list[int]] = {}
    for entry in pypdfium2.PdfDocument(pdf_of(design, edition, "handout")).get_toc():
        number, _, _ = entry.get_title().partition(" ")
        if entry.level == 1 and number.isdigit():
            pages.setdefault(entry.get_dest().get_index(), []).append(int(number))
    alone = expected_alone(design, edition)
    inner = sorted(pages)[1:-1]
    single = {pages[page][0] for page in inner if len(pages[page]) == 1}
    assert single <= {*alone, min(alone, default=1) - 1}, pages
    assert max(len(steps) for steps in pages.values()) == 2
    assert all(len(steps) == 1 for steps in pages.values() if alone & set(steps)), pages
    assert sorted(pages) == list(range(min(pages), max(pages) + 1))


def expected_alone(design: str, edition: str) -> frozenset[int]:
    """The steps whose drawings, at the size that the layout gives them, need a page."""
    path = DESIGNS / f"{design}.yaml"
    page = read_page(LAYOUTS / "handout", EDITIONS[edition])
    scenes = figures_in("handout", path, edition)

    def sizes(step: int) -> list[tuple[float, float]]:
        own = [scene for key, scene in scenes.items() if key.startswith(f"step-{step}-")]
        return [(scene.width, scene.height) for scene in own]

    return steps_alone(checked(path, edition).resolved, page, sizes)


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("design", design_names())
def test_every_step_of_the_handout_has_lines_for_notes(design: str, edition: str) -> None:
    """Between the word Notes and what follows it, white and ruled, there are 17 mm at least."""
    for page in pypdfium2.PdfDocument(pdf_of(design, edition, "handout")):
        text = page.get_textpage()
        boxes = [text.get_rect(index) for index in range(text.count_rects())]
        words = [(box, text.get_text_bounded(*box).strip()) for box in boxes]
        for box, word in words:
            if word == "Notes":
                below = [top for (_, _, _, top), _ in words if top < box[1]]
                assert box[1] - max(below) > 17 / 25.4 * 72
