"""Documents: everything computed → final wording → HTML by a layout → PDF.

``content`` holds what a layout may show and ``view`` writes it, ``steps_text`` turns step Markdown
into HTML, ``figure_set`` draws the kinds of pictures that a page shows, ``compose`` fills the
templates of a layout and ``typeset`` makes the PDF.
"""

# fmt: off
# isort: off
from gatherfold.documents.problems import DocumentProblem as DocumentProblem
