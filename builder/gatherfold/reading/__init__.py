"""Reading: the text of a design file → :class:`Design`, or every problem in it.

``nodes`` turns YAML into a tree with positions, ``repeats`` writes out ``each`` groups,
``fields`` reads typed values out of a mapping, and ``read_design`` builds the model.
"""

from gatherfold.reading.fields import Fields
from gatherfold.reading.nodes import Mapping, decode, parse_yaml
from gatherfold.reading.pictures import check_pictures, picture_bytes
from gatherfold.reading.read_design import read_design, read_design_file
from gatherfold.reading.references import (
    FORMULA_IN_TEXT,
    NAME_IN_TEXT,
    face_names,
    faces_of_sections,
    matching_names,
    names_in_text,
    position_in_text,
)

__all__ = [
    "FORMULA_IN_TEXT",
    "NAME_IN_TEXT",
    "Fields",
    "Mapping",
    "check_pictures",
    "decode",
    "face_names",
    "faces_of_sections",
    "matching_names",
    "names_in_text",
    "parse_yaml",
    "picture_bytes",
    "position_in_text",
    "read_design",
    "read_design_file",
]
