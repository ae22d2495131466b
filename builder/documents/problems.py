"""What can go wrong with a layout: said to the user, never shown as a traceback."""


class DocumentProblem(Exception):
    """A layout cannot be filled or typeset; the message says where and why."""


class MissingCharacters(DocumentProblem):
    """Nothing is wrong but that no font of the layout has these characters."""

    def __init__(self, characters: tuple[str, ...], message: str) -> None:
        super().__init__(message)
        self.characters = characters
