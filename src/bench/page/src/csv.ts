// Typed and pasted readings as CSV text, as the program reads it. No number is changed on the way.

const quoted = (cell: string, mark: string) =>
  cell.includes(mark) || /["\n\r]/.test(cell) ? `"${cell.replace(/"/g, '""')}"` : cell;

export const csvOf = (rows: string[][], mark = ',') =>
  rows.map((row) => row.map((cell) => quoted(cell, mark)).join(mark)).join('\n') + '\n';

/// Cells copied from a spreadsheet: tabs between, one line a row, quotes around cells with breaks.
export function cellsOf(text: string): string[][] {
  const mark = text.includes('\t') ? '\t' : text.includes(';') ? ';' : ',';
  const rows: string[][] = [];
  let row: string[] = [];
  let cell = '';
  let inside = false;
  const endRow = () => {
    row.push(cell.trim());
    cell = '';
    if (row.some((one) => one) && !row[0].startsWith('#')) rows.push(row);
    row = [];
  };
  for (let i = 0; i < text.length; ++i) {
    const c = text[i];
    if (inside) {
      if (c === '"' && text[i + 1] === '"') cell += text[++i];
      else if (c === '"') inside = false;
      else cell += c;
    } else if (c === '"' && !cell) inside = true;
    else if (c === mark) {
      row.push(cell.trim());
      cell = '';
    } else if (c === '\n' || c === '\r') {
      if (c === '\r' && text[i + 1] === '\n') ++i;
      endRow();
    } else cell += c;
  }
  endRow();
  return rows;
}

const isNumber = (text: string) => /^[-+−]?\d+([.,]\d+)?$/.test(text.trim());
const isBand = (text: string) => /^\d{3,4}(\.\d+)?$/.test(text.trim()) && Number(text) >= 200 && Number(text) <= 2600;

/// The first row is a heading when any of its cells is a word or all its numbers are wavelengths.
export function hasHeading(rows: string[][]): boolean {
  const first = rows[0] ?? [];
  return first.some((cell) => cell && !isNumber(cell)) || (first.length > 3 && first.every(isBand));
}

/// Pasted cells with what they do not say themselves: name, role, backing, state, loads …
export function completed(rows: string[][], said: Record<string, string>): string[][] {
  const [heading, ...body] = rows;
  const missing = Object.keys(said).filter(
    (column) => said[column] && !heading.some((cell) => cell.toLowerCase() === column.toLowerCase()),
  );
  const width = heading.length;
  return [
    [...missing, ...heading],
    ...body.map((row) => [...missing.map((column) => said[column]), ...row, ...Array(Math.max(0, width - row.length)).fill('')]),
  ];
}

/// Semicolons where a number has a decimal comma, so that both stay what they are.
export const markFor = (rows: string[][]) => (rows.some((row) => row.some((cell) => cell.includes(','))) ? ';' : ',');
