"""Measures printed pages: what words a PDF holds, where they stand, and how long its check bars are.

Pages are read and drawn by PDFium, which prints in one of the browsers but has no part in the program.
Used by the checks of the command and by those of both browsers.
"""
import re

import numpy as np
import pypdfium2 as pdfium
import pypdfium2.raw as raw

DPI = 300
MM = 25.4 / DPI
DARK = 128


def spaced(text):
    """Words with single spaces, whatever lines and soft signs a printer made of them."""
    return re.sub(r"\s+", " ", text.replace("\ufffe", "").replace("\u00a0", " ").replace("\u2010", "-"))


class Page:
    """One printed page."""

    def __init__(self, page):
        self.page = page
        self.size_mm = [side * 25.4 / 72 for side in page.get_size()]
        self.words = page.get_textpage()

    @property
    def text(self):
        return spaced(self.words.get_text_bounded())

    def holds(self, words):
        """Whether words stand on the page: spaces do not count, which printers place as they like."""
        return "".join(words.split()) in "".join(self.text.split())

    def letters_mm(self):
        """Every letter with its box: left, top, right, bottom, mm from the upper left corner."""
        high = self.page.get_size()[1]
        found = []
        for index in range(self.words.count_chars()):
            letter = self.words.get_text_range(index, 1)
            if letter.strip():
                left, bottom, right, top = (side * 25.4 / 72 for side in self.words.get_charbox(index))
                found.append((letter, left, high * 25.4 / 72 - top, right, high * 25.4 / 72 - bottom))
        return found

    def sizes_pt(self):
        """Size of every letter, points."""
        found = []
        for index in range(self.words.count_chars()):
            if self.words.get_text_range(index, 1).strip():
                matrix = raw.FS_MATRIX()
                raw.FPDFText_GetMatrix(self.words.raw, index, matrix)
                stretch = abs(matrix.a * matrix.d - matrix.b * matrix.c) ** 0.5
                found.append(raw.FPDFText_GetFontSize(self.words.raw, index) * stretch)
        return found

    def picture(self):
        """Grey values of the page, row by row."""
        return np.array(self.page.render(scale=DPI / 72, grayscale=True).to_pil().convert("L"))

    def margin_mm(self):
        """Least distance of anything drawn from the edge of the paper."""
        dark = self.picture() < 250
        rows, columns = np.where(dark.any(axis=1))[0], np.where(dark.any(axis=0))[0]
        ends = (rows[0], dark.shape[0] - 1 - rows[-1], columns[0], dark.shape[1] - 1 - columns[-1])
        return min(ends) * MM

    def bars_mm(self):
        """Lengths of the lying and of the upright check bar, tick to tick, found beside their words."""
        places = self.places("50 mm")
        picture = self.picture() < DARK
        lying = max(places, key=lambda box: box[0])
        upright = min(places, key=lambda box: box[0])
        middle = (lying[1] + lying[3]) / 2
        along = picture[_span(middle - 1.7, middle - 0.9), :][:, _span(lying[2] + 0.5, lying[2] + 60)]
        down = picture[_span(upright[3] + 1, upright[3] + 62), :][:, _span(upright[0] + 2.3, upright[0] + 3.1)]
        return [_ticks(along.all(axis=0)), _ticks(down.all(axis=1))]

    def places(self, words):
        """Boxes of words on the page, mm: left, top, right, bottom."""
        letters, wanted = self.letters_mm(), "".join(words.split())
        text = "".join(letter[0] for letter in letters)
        found = [match.start() for match in re.finditer(re.escape(wanted), text)]
        boxes = [[letter[1:] for letter in letters[start : start + len(wanted)]] for start in found]
        return [(min(b[0] for b in box), min(b[1] for b in box), max(b[2] for b in box), max(b[3] for b in box)) for box in boxes]


def _span(start_mm, end_mm):
    return slice(max(0, round(start_mm / MM)), round(end_mm / MM))


def _ticks(dark):
    """Distance between the middles of the first and the last tick, mm."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], dark.astype(int), [0]])))
    ticks = [(start + end) / 2 for start, end in zip(edges[::2], edges[1::2]) if (end - start) * MM > 0.3]
    # The bar's own ticks are the first two.
    return (ticks[1] - ticks[0]) * MM if len(ticks) > 1 else float("nan")


def pages(file):
    """The pages of a PDF."""
    return [Page(page) for page in pdfium.PdfDocument(str(file))]
