// Reads photographs with zxing-wasm: node zxing_wasm.mjs FORMAT FILE...
// Writes a line for each file: {"file": ..., "texts": [...]}
import { readFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { prepareZXingModule, readBarcodes } from 'zxing-wasm/reader';

// Without its own bytes the module would be fetched from a server.
const wasmBinary = await readFile(fileURLToPath(import.meta.resolve('zxing-wasm/reader/zxing_reader.wasm')));
await prepareZXingModule({ overrides: { wasmBinary }, fireImmediately: true });

const [format, ...files] = process.argv.slice(2);
for (const file of files) {
  const found = await readBarcodes(await readFile(file), {
    formats: [format],
    tryHarder: true,
    tryRotate: true,
    tryInvert: true,
    tryDownscale: true,
    maxNumberOfSymbols: 255,
    textMode: 'Plain', // nothing added for people
  });
  console.log(JSON.stringify({ file, texts: found.filter((symbol) => symbol.isValid).map((symbol) => symbol.text) }));
}
