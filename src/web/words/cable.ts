/** What the sums of cable and battery say; fetched with the Fitting screen. */
export interface CableWords {
  title: string;
  how: string;
  amps: string;
  metres: string;
  celsius: string;
  allow: string;
  batteryTitle: string;
  batteryHow: string;
  restVolts: string;
  ampHours: string;
  strokesAnHour: string;
  strokeSeconds: string;
  reckon: string;
  wrong: string;
  noSize: (allow: string) => string;
  size: (mm2: string, volts: string, percent: string, atLoad: string) => string;
  fuse: (fuse: string, carries: string) => string;
  noFuse: string;
  charge: (percent: string, from: string, to: string) => string;
  hours: (about: string, least: string, most: string) => string;
  rough: string;
}

export const cableWords: CableWords = {
  title: 'Cable and battery',
  how: 'Current of the leaf under load, and the way from the battery to it, one way.',
  amps: 'Current, A',
  metres: 'Length one way, m',
  celsius: 'Warmth of the cable, °C',
  allow: 'Loss that is allowed, %',
  batteryTitle: 'Battery, if you want its hours',
  batteryHow: 'Measured after hours without load or charge.',
  restVolts: 'Voltage at rest, V',
  ampHours: 'Capacity on its label, Ah',
  strokesAnHour: 'Strokes an hour, all leaves',
  strokeSeconds: 'Seconds of one stroke',
  reckon: 'Reckon',
  wrong: 'Every field of the cable has to be a number; of the battery all or none.',
  noSize: (allow) =>
    `No standard size loses ${allow} % or less and can be fused. Shorten the way, or allow more.`,
  size: (mm2, volts, percent, atLoad) =>
    `${mm2} mm²: ${volts} V lost (${percent} %), ${atLoad} V at the actuator.`,
  fuse: (fuse, carries) =>
    `Fuse ${fuse} A: it carries the leaf and protects the cable, which carries about ${carries} A.`,
  noFuse: 'No fuse both carries the leaf and protects this cable: take a larger size.',
  charge: (percent, from, to) =>
    `About ${percent} % full, between ${from} and ${to} % with a usual meter.`,
  hours: (about, least, most) =>
    `Until half empty about ${about} h, between ${least} and ${most} h, if it still has what its label says.`,
  rough:
    'Copper, thin PVC cable in free air; less in bundles. Local electrical codes and licensed practice decide.',
};
