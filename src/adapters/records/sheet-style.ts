/** Of the lot sheet: one column on a phone, A4 on paper. It travels with the sheet when that is kept. */
export const SHEET_STYLE = `
@page { size: A4; margin: 14mm 16mm; }
* { box-sizing: border-box; margin: 0; }
body { font: 11pt/1.35 system-ui, sans-serif; color: #111; background: #fff; }
main { max-width: 180mm; margin: 0 auto; padding: 4mm; }
h1 { font-size: 17pt; line-height: 1.2; margin: 1mm 0 3mm; overflow-wrap: anywhere; }
h2 { font-size: 11.5pt; margin: 4.5mm 0 1mm; }
.trade { display: inline-block; padding: 0.5mm 3mm; border: 1.2pt solid #111; font-weight: 700; }
table { width: 100%; border-collapse: collapse; }
th, td { padding: 1mm 0; border-bottom: 0.5pt solid #767676; text-align: left; vertical-align: bottom; }
th { width: 42%; font-weight: 400; padding-right: 4mm; }
td { font-weight: 700; overflow-wrap: anywhere; font-variant-numeric: tabular-nums; }
.blank { display: inline-block; width: 60mm; max-width: 100%; height: 5mm; border-bottom: 1pt dotted #111; }
h3 { font-size: 10pt; margin: 2.5mm 0 0.5mm; break-after: avoid; }
.fives { display: flex; flex-wrap: wrap; gap: 0 5mm; padding: 0; list-style: none; font-variant-numeric: tabular-nums; }
.title { font-weight: 700; overflow-wrap: anywhere; }
.behind { margin-top: 8mm; }
.tags { columns: 3; column-gap: 6mm; padding-left: 9mm; font-size: 9pt; font-variant-numeric: tabular-nums; }
.tags li { break-inside: avoid; }
.sign { display: flex; gap: 8mm; margin-top: 14mm; break-inside: avoid; }
.sign p { flex: 1; border-top: 1pt solid #111; padding-top: 1mm; }
.foot { margin-top: 5mm; font-size: 9pt; }
@media print {
  body { font-size: 10pt; line-height: 1.25; }
  main { max-width: none; padding: 0; }
  h1 { font-size: 15pt; margin-bottom: 1.5mm; }
  h2 { margin-top: 3mm; break-after: avoid; }
  th, td { padding: 0.6mm 0; }
  .blank { height: 4mm; }
  .sign { margin-top: 11mm; }
  .behind { break-before: page; margin: 0; }
  table, .sign { break-inside: avoid; }
}
@media (max-width: 480px) { .tags { columns: 1; } .sign { flex-direction: column; gap: 12mm; } }
`;
