/** `\r`, `\n`, `\t`, `\\` and `\xNN` as the characters that they stand for; for what a person types. */
export function unescaped(text: string): string {
  return text.replace(/\\(?:x([0-9A-Fa-f]{2})|([rnt\\]))/g, (_, hex?: string, letter?: string) =>
    hex === undefined
      ? ({ r: '\r', n: '\n', t: '\t' }[letter ?? ''] ?? '\\')
      : String.fromCharCode(parseInt(hex, 16)),
  );
}
