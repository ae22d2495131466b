"""A designer's own layout: what is wrong with it is said with file and line, status 2."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from builder.cli import main
from builder.shipped import LAYOUTS
from tests.test_cli import SMALL


@pytest.fixture
def own_layout(tmp_path: Path) -> Path:
    shutil.copytree(LAYOUTS / "pattern", tmp_path / "mine")
    (tmp_path / "folder.yaml").write_text(SMALL)
    return tmp_path


def build(folder: Path) -> int:
    design, out = str(folder / "folder.yaml"), str(folder / "out")
    return main(["build", design, "--out", out, "--edition", "metric", "--layout", "mine"])


def change(folder: Path, name: str, old: str, new: str) -> None:
    path = folder / "mine" / name
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new, 1))


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("document.subtitle", "document.subtitel", "subtitel"),
        ("{% for fact in document.facts %}", "{% for fact document.facts %}", "document.html.j2:"),
        ("{{ document.subtitle }}", "{% include '../../secret' %}", "secret"),
        ("{{ document.subtitle }}", "{{ document.__class__.__mro__ }}", "unsafe"),
        ("</h1>", '</h1><img src="no-such.png" alt="x">', "no-such.png"),
        ("</h1>", '</h1><img src="file:///etc/hostname" alt="x">', "may not read"),
    ],
)
def test_a_mistake_in_a_template_is_said_and_nothing_written(
    own_layout: Path, capsys: pytest.CaptureFixture[str], old: str, new: str, message: str
) -> None:
    change(own_layout, "document.html.j2", old, new)
    assert build(own_layout) == 2
    assert message in capsys.readouterr().err
    assert not (own_layout / "out").exists()


def test_hostile_design_text_is_shown_as_text(own_layout: Path) -> None:
    """HTML, script, right-to-left text and a very long word in a design's own words."""
    text = SMALL.replace("title: Note folder", 'title: "<script>alert(1)</script> שלום"')
    text = text.replace('"Leave {reveal}', f'"<b>no</b> {"a" * 400} leave {{reveal}}')
    (own_layout / "folder.yaml").write_text(text)
    design, out = str(own_layout / "folder.yaml"), own_layout / "out"
    arguments = ["build", design, "--out", str(out), "--edition", "metric", "--html"]
    assert main(arguments) == 0
    html = (out / "folder-metric.html").read_text()
    assert "<script>" not in html and "&lt;script&gt;" in html
    assert "<b>no</b>" not in html
