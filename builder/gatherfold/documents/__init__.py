"""Documents: everything computed → final wording → HTML by a layout → PDF.

``content`` holds and builds what a layout may show, ``steps_text`` turns step Markdown into HTML,
``figure_set`` decides which figures a document has, ``compose`` fills a layout's templates and
``typeset`` makes the PDF.
"""
