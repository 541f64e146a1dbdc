// Prints a file of labels, a line each, with pdfkit and qrcode.
import { createReadStream, createWriteStream } from 'node:fs';
import { createInterface } from 'node:readline';
import { pipeline } from 'node:stream/promises';
import PDFDocument from 'pdfkit';
import QRCode from 'qrcode';

// Points, 1/72 inch: letter paper with 2 × 10 labels of 4 × 1 inch.
const left = 13.5, top = 36, across = 297, down = 72;
const columns = 2, rows = 10;
const dots = 1.68; // a module: 7 dots at 300 dpi

const [labels, regular, bold, out] = process.argv.slice(2);
const pdf = new PDFDocument({ size: 'LETTER', margin: 0, autoFirstPage: false });
const written = pipeline(pdf, createWriteStream(out));
pdf.registerFont('regular', regular);
pdf.registerFont('bold', bold);

function write(font, size, text, x, baseline) {
  pdf.font(font).fontSize(size).text(text, x, baseline, { lineBreak: false, baseline: 'alphabetic' });
}

function label(x, y, [variety, stock, date, count, code, digits]) {
  write('bold', 10, `‘${variety}’`, x + 6, y + 20);
  write('regular', 10, `/ ‘${stock}’`, x + 6, y + 34);
  write('regular', 7, `${date}   ${count}`, x + 6, y + 62);
  write('regular', 9, code, x + 195, y + 60);
  const { modules } = QRCode.create([{ data: digits, mode: 'numeric' }], { version: 1, errorCorrectionLevel: 'H' });
  for (let row = 0; row < modules.size; row++) {
    for (let column = 0; column < modules.size; column++) {
      if (modules.get(row, column)) pdf.rect(x + 220 + column * dots, y + 8 + row * dots, dots, dots);
    }
  }
  pdf.fill();
}

let n = 0;
for await (const line of createInterface({ input: createReadStream(labels) })) {
  const place = n++ % (columns * rows);
  if (place === 0) pdf.addPage();
  label(left + (place % columns) * across, top + Math.floor(place / columns) * down, line.split('\t'));
}
pdf.end();
await written;
