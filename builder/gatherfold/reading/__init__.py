"""Reading: the text of a design file → :class:`Design`, or every problem in it.

``nodes`` turns YAML into a tree with positions, ``repeats`` writes out ``each`` groups,
``fields`` reads typed values out of a mapping, and ``read_design`` builds the model.
"""

from gatherfold.reading.fields import Fields as Fields
from gatherfold.reading.nodes import MappingNode as MappingNode
from gatherfold.reading.nodes import decode as decode
from gatherfold.reading.nodes import parse_yaml as parse_yaml
from gatherfold.reading.pictures import check_pictures as check_pictures
from gatherfold.reading.pictures import picture_bytes as picture_bytes
from gatherfold.reading.read_design import read_design as read_design
from gatherfold.reading.read_design import read_design_file as read_design_file
from gatherfold.reading.references import FORMULA_IN_TEXT as FORMULA_IN_TEXT
from gatherfold.reading.references import NAME_IN_TEXT as NAME_IN_TEXT
from gatherfold.reading.references import face_names as face_names
from gatherfold.reading.references import faces_of_sections as faces_of_sections
from gatherfold.reading.references import matching_names as matching_names
from gatherfold.reading.references import names_in_text as names_in_text
from gatherfold.reading.references import position_in_text as position_in_text
