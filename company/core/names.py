"""How names are compared: trimmed, in one Unicode form, without regard to case."""

import re
import unicodedata

_SPACES = re.compile(r"\s+")


def name_key(text: str) -> str:
    """The form of a name that two spellings share: NFC, single spaces, casefolded.

    >>> name_key("  The   HERON ")
    'the heron'
    """
    folded = unicodedata.normalize("NFC", text).casefold()
    return _SPACES.sub(" ", unicodedata.normalize("NFC", folded)).strip()


def tidy_name(text: str) -> str:
    """A name as it is kept: NFC, trimmed, runs of white space as one blank.

    >>> tidy_name(" Sister  Quill ")
    'Sister Quill'
    """
    return _SPACES.sub(" ", unicodedata.normalize("NFC", text)).strip()
