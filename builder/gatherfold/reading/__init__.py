"""Reading: the text of a design file → :class:`Design`, or every problem in it.

``nodes`` turns YAML into a tree with positions, ``repeats`` writes out ``each`` groups,
``fields`` reads typed values out of a mapping, and ``read_design`` builds the model.
"""

# fmt: off
# isort: off
from gatherfold.reading.fields import Fields as Fields
from gatherfold.reading.nodes import (MappingNode as MappingNode, Node as Node, Scalar as Scalar,
    SequenceNode as SequenceNode, decode as decode, parse_yaml as parse_yaml)
from gatherfold.reading.pictures import (check_pictures as check_pictures,
    picture_bytes as picture_bytes)
from gatherfold.reading.read_design import read_design as read_design
from gatherfold.reading.references import (FORMULA_IN_TEXT as FORMULA_IN_TEXT,
    NAME_IN_TEXT as NAME_IN_TEXT, face_names as face_names, faces_of_sections as faces_of_sections,
    matching_names as matching_names, names_in_text as names_in_text,
    position_in_text as position_in_text)
