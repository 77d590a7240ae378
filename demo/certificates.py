"""Small invented mill and filler certificates, one page each, so that the package has something to merge in."""

from pathlib import Path

from reportlab import rl_config
from reportlab.lib.pagesizes import LETTER
from reportlab.pdfgen.canvas import Canvas

from demo.metal import ELEMENTS, NO_FILE
from demo.works import Row

MARK = "INVENTED - demonstration only"
_LEFT, _STEP = 54, 18


def write_certificates(heats: list[Row], lots: list[Row], folder: Path) -> list[Path]:
    """One PDF for each certificate that a heat or lot names, but for the one that is missing on purpose.

    Returns the files written, in the order of heats and lots; the same rows give the same bytes.
    """
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    papers = [("Mill test report", heat) for heat in heats] + [("Filler metal certificate", lot) for lot in lots]
    for title, row in papers:
        number = row["certificate"]
        if number is None or row.get("heat") == NO_FILE:
            continue
        path = folder / f"{number}.pdf"
        _draw(path, f"{title} {number}", row)
        written.append(path)
    return written


def _draw(path: Path, title: str, row: Row) -> None:
    rl_config.useA85 = 0  # one setting of the whole process: as the papers set it, whoever was imported first
    canvas = Canvas(str(path), pagesize=LETTER, pageCompression=1, invariant=1)
    canvas.setTitle(title)
    canvas.setAuthor("Invented")
    _, height = LETTER
    canvas.setFont("Helvetica-Bold", 12)
    canvas.drawString(_LEFT, height - 50, MARK)
    canvas.setFont("Helvetica-Bold", 17)
    canvas.drawString(_LEFT, height - 84, title)
    canvas.setFont("Helvetica", 10)
    level = height - 120
    for name, value in row.items():
        if value is None or name in ELEMENTS or name == "certificate":
            continue
        canvas.drawString(_LEFT, level, name.capitalize())
        canvas.drawString(_LEFT + 130, level, f"{value} %" if name == "elongation" else str(value))
        level -= _STEP
    _draw_chemistry(canvas, row, level - _STEP)
    canvas.setFont("Helvetica-Bold", 12)
    canvas.drawString(_LEFT, 54, MARK)
    canvas.showPage()
    canvas.save()


def _draw_chemistry(canvas: Canvas, row: Row, level: float) -> None:
    shown = [symbol for symbol in ELEMENTS if row.get(symbol) is not None]
    if not shown:
        return
    canvas.drawString(_LEFT, level, "Chemical composition, weight percent")
    for index, symbol in enumerate(shown):
        across = _LEFT + index * 46
        canvas.drawString(across, level - _STEP, symbol)
        canvas.drawString(across, level - 2 * _STEP, str(row[symbol]))
