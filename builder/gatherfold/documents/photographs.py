"""The designer's own photographs for the page: no larger than their place, no finer than print.

In: a picture's file and the room it has.  Out: its bytes at :data:`PRINT_RESOLUTION` at most, its
size on paper and how fine it is there; :class:`UnusablePicture` says what is wrong with it.
"""

import io
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from PIL import Image, ImageFile, ImageOps

_MM_PER_INCH = 25.4
#: Dots per inch at the placed size: what print can show, and what looks coarse in it (common
#: practice, no source).
PRINT_RESOLUTION = 300
COARSE_RESOLUTION = 150
#: A picture of more dots than this is no photograph, but something made to fill the memory.
_MOST_DOTS = 150_000_000
_QUALITY = 88


@dataclass(frozen=True)
class Photograph:
    """A picture as it goes into the document; ``resolution`` is of the file the designer gave,
    in dots per inch at the placed size, and None for a drawing in lines."""

    content: bytes
    media_type: str
    width_mm: float
    height_mm: float
    resolution: float | None

    @property
    def is_coarse(self) -> bool:
        return self.resolution is not None and self.resolution < COARSE_RESOLUTION


class UnusablePicture(Exception):
    """The file cannot be placed; the message says why."""


def photograph(path: Path, width_mm: float, height_mm: float) -> Photograph:
    """The picture as large as fits into the room, reduced to what print can show."""
    if path.suffix.lower() == ".svg":
        return Photograph(path.read_bytes(), "image/svg+xml", width_mm, height_mm, None)
    with _opened(path) as picture:
        upright = ImageOps.exif_transpose(picture)
        scale = min(width_mm / upright.width, height_mm / upright.height)
        wide, high = upright.width * scale, upright.height * scale
        resolution = _MM_PER_INCH / scale
        if resolution > PRINT_RESOLUTION:
            dots = tuple(round(side / _MM_PER_INCH * PRINT_RESOLUTION) for side in (wide, high))
            upright = upright.resize((max(dots[0], 1), max(dots[1], 1)), Image.Resampling.LANCZOS)
        content, kind = _encoded(upright)
    return Photograph(content, kind, wide, high, resolution)


def require_whole(path: Path) -> None:
    """Raise :class:`UnusablePicture` unless the picture has all its dots; one cut short would be a
    blank on the page."""
    if path.suffix.lower() != ".svg":
        _opened(path).close()


@contextmanager
def _whole_or_nothing() -> Iterator[None]:
    """WeasyPrint lets the library read pictures that are cut short, as blanks; here it may not."""
    was = ImageFile.LOAD_TRUNCATED_IMAGES
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    try:
        yield
    finally:
        ImageFile.LOAD_TRUNCATED_IMAGES = was


def _opened(path: Path) -> Image.Image:
    try:
        with warnings.catch_warnings(), _whole_or_nothing():
            # Our own limit is stricter, and says what to do.
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            picture = Image.open(io.BytesIO(path.read_bytes()))
            if picture.width * picture.height > _MOST_DOTS:
                raise Image.DecompressionBombError
            picture.load()
    except Image.DecompressionBombError:
        raise UnusablePicture("it has more dots than any page could show") from None
    except (OSError, SyntaxError, ValueError):
        raise UnusablePicture("its content is damaged, or not what its name says") from None
    return picture


def _encoded(picture: Image.Image) -> tuple[bytes, str]:
    """A drawing with flat colours or see-through parts stays sharp; a photograph is compressed."""
    kept = io.BytesIO()
    if picture.mode in ("1", "L", "RGB", "CMYK", "YCbCr"):
        picture.convert("RGB").save(kept, "JPEG", quality=_QUALITY, optimize=True)
        return kept.getvalue(), "image/jpeg"
    picture.convert("RGBA").save(kept, "PNG", optimize=True)
    return kept.getvalue(), "image/png"
