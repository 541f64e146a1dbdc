"""Prints a file of labels, a line each, with reportlab and its QR widget."""
import sys

from reportlab.graphics import renderPDF
from reportlab.graphics.barcode.qr import QrCodeWidget
from reportlab.graphics.shapes import Drawing
from reportlab.lib.pagesizes import letter
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

# Points, 1/72 inch: letter paper with 2 x 10 labels of 4 x 1 inch.
LEFT, TOP, ACROSS, DOWN = 13.5, 36, 297, 72
COLUMNS, ROWS = 2, 10
MODULE = 1.68  # 7 dots at 300 dpi
SYMBOL = 29 * MODULE  # 21 modules and 4 of quiet zone on each side


def label(canvas, x, y, variety, stock, date, count, code, digits):
    """Draw a label with its upper left corner at x, y."""
    canvas.setFont("bold", 10)
    canvas.drawString(x + 6, y - 20, f"‘{variety}’")
    canvas.setFont("regular", 10)
    canvas.drawString(x + 6, y - 34, f"/ ‘{stock}’")
    canvas.setFont("regular", 7)
    canvas.drawString(x + 6, y - 62, f"{date}   {count}")
    canvas.setFont("regular", 9)
    canvas.drawString(x + 195, y - 60, code)
    widget = QrCodeWidget(digits, barLevel="H", qrVersion=1, barWidth=SYMBOL, barHeight=SYMBOL, barBorder=4)
    drawing = Drawing(SYMBOL, SYMBOL)
    drawing.add(widget)
    renderPDF.draw(drawing, canvas, x + 220 - 4 * MODULE, y - 8 + 4 * MODULE - SYMBOL)


def main(labels, regular, bold, out):
    pdfmetrics.registerFont(TTFont("regular", regular))
    pdfmetrics.registerFont(TTFont("bold", bold))
    canvas = Canvas(out, pagesize=letter, pageCompression=1)
    with open(labels, encoding="utf-8") as lines:
        for n, line in enumerate(lines):
            place = n % (COLUMNS * ROWS)
            if n and place == 0:
                canvas.showPage()
            x = LEFT + place % COLUMNS * ACROSS
            y = letter[1] - TOP - place // COLUMNS * DOWN
            label(canvas, x, y, *line.rstrip("\n").split("\t"))
    canvas.save()


if __name__ == "__main__":
    main(*sys.argv[1:])
