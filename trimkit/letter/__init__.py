"""The page for a coach: one HTML file that opens anywhere, prints, and loads back into a lab.

`write` makes it of an aeroplane, a log and the team's words; `read` takes aeroplane and log out of
a page that came from somebody else. Such a page is data: nothing in it is run, and what does not
hold to the form is refused with a sentence. `check_in` makes the sheet for a contest's table.
No page has a place for a name.
"""

from trimkit.letter.check_in import check_in
from trimkit.letter.page import save_page
from trimkit.letter.photo import cleaned
from trimkit.letter.reading import Letter, LetterError, read, reads
from trimkit.letter.sheet import as_sheet
from trimkit.letter.writing import write

__all__ = [
    "Letter",
    "LetterError",
    "as_sheet",
    "check_in",
    "cleaned",
    "read",
    "reads",
    "save_page",
    "write",
]
