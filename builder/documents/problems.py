"""What can go wrong with a layout: said to the user, never shown as a traceback."""


class DocumentProblem(Exception):
    """A layout cannot be filled or typeset; the message says where and why."""
