"""Reading: the text of a design file → :class:`Design`, or every problem in it.

``nodes`` turns YAML into a tree with positions, ``repeats`` writes out ``each`` groups,
``fields`` reads typed values out of a mapping, and ``read_design`` builds the model.
"""

from gatherfold.reading.read_design import read_design, read_design_file

__all__ = ["read_design", "read_design_file"]
