/** Tells the stylesheet how wide this phone's figures are, so that a weight fills the width. */
export function fitFigures(): void {
  const pen = document.createElement('canvas').getContext('2d');
  if (pen === null) return;
  pen.font = `800 100px ${getComputedStyle(document.body).fontFamily}`;
  const style = document.documentElement.style;
  style.setProperty('--digit', String(pen.measureText('0').width / 100));
  style.setProperty('--point', String(pen.measureText('.').width / 100));
}
