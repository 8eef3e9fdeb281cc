/** What the place Day book says; fetched with it. */
export interface BookWords {
  title: string;
  loading: string;
  none: string;
  day: string;
  farm: string;
  noFarm: string;
  chooseFarm: string;
  months: string[];
  date: (day: number, month: string, year: number) => string;
  shortDate: (day: number, month: string) => string;
  session: (time: string, plan: string) => string;
  offFeed: (hours: number) => string;
  head: (count: number) => string;
  look: {
    title: string;
    nobody: string;
    missing: (day: string) => string;
    lostWeight: string;
    slowest: string;
    nearlyThere: string;
    held: string;
    byHand: string;
    letOutEarly: string;
    openedEarly: string;
    wrongWay: string;
    notSure: string;
    freeOn: (day: string) => string;
    freeUnknown: string;
    noTag: (animal: number) => string;
    more: (count: number) => string;
  };
  inOut: {
    title: string;
    through: string;
    notCounted: (why: string) => string;
    counted: string;
    unknownPen: string;
    twice: (tags: number) => string;
  };
  given: {
    title: string;
    batch: (product: string, batch: string) => string;
    used: (head: number, ml: number) => string;
    unknown: (head: number) => string;
  };
  lots: {
    title: string;
    noLot: string;
    killingOut: string;
    killingOutHint: string;
    average: string;
    range: string;
    sd: string;
    total: string;
    carcass: string;
    tags: string;
    tagCount: (read: number, notRead: number) => string;
    weights: string;
    from: string;
  };
  gain: {
    title: string;
    none: string;
    flock: (head: number) => string;
    perDay: (grams: string, uncertainty: string) => string;
    spread: (sd: string) => string;
    widened: string;
    chart: string;
    columns: { tag: string; before: string; now: string; gain: string };
  };
  target: {
    title: string;
    weight: string;
    sum: (there: number, coming: number, unknown: number) => string;
    never: string;
    open: string;
    between: (from: string, to: string) => string;
    columns: { tag: string; now: string; day: string };
    how: string;
  };
  pace: {
    title: string;
    anHour: (animals: number) => string;
    tooShort: string;
    sorting: (minutes: number, of: number) => string;
    chart: string;
    time: string;
    animals: string;
    stops: string;
    noStops: string;
    battery: string;
    restVolts: string;
    movingVolts: string;
    minutes: (minutes: string) => string;
    faults: string;
    times: (times: number, first: string) => string;
  };
  animals: {
    title: string;
    filter: string;
    filterHint: string;
    shown: (shown: number, all: number) => string;
    columns: { time: string; tag: string; kg: string; where: string };
    notCounted: (why: string) => string;
    corrected: (kind: string, was: string, now: string) => string;
    by: (who: string) => string;
    kinds: Record<string, string>;
    takenBack: string;
    clockUnset: string;
    more: string;
    putRight: string;
    takeBack: string;
    onlyRead: string;
  };
  history: {
    title: string;
    ask: string;
    nobody: string;
    fromList: string;
    chart: string;
    columns: { day: string; kg: string; gain: string; where: string };
  };
  keep: {
    title: string;
    csv: string;
    csvComma: string;
    icar: string;
    sheet: string;
    sheetOf: string;
    whole: string;
    to: string;
    untagged: string;
    loaded: string;
    print: string;
    share: string;
    shareMeans: string;
    /** Of the picture of the code. */
    shareCode: (farm: string) => string;
    shareFor: (farm: string, hours: number) => string;
    caution: string;
  };
  table: string;
  kg: (kg: string) => string;
  plusMinus: (kg: string) => string;
}

export const bookWords: BookWords = {
  title: 'Day book',
  loading: 'Reading the day book …',
  none: 'Nothing is in the day book yet.',
  day: 'Day',
  farm: 'Farm',
  noFarm: 'no farm named',
  chooseFarm: 'Animals of more than one farm came that day. Choose one.',
  months: ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'],
  date: (day, month, year) => `${String(day)} ${month} ${String(year)}`,
  shortDate: (day, month) => `${String(day)} ${month}`,
  session: (time, plan) => `From ${time}: ${plan}`,
  offFeed: (hours) => `${String(hours)} h off feed`,
  head: (count) => `${String(count)} head`,
  look: {
    title: 'Wants looking at',
    nobody: 'Nobody: all as it should be.',
    missing: (day) => `Here on ${day}, not today`,
    lostWeight: 'Lost weight',
    slowest: 'Slowest tenth',
    nearlyThere: 'Within 1 kg below a cut',
    held: 'Still in withdrawal, or may be',
    byHand: 'Sent by hand',
    letOutEarly: 'Let out early',
    openedEarly: 'Front opened early',
    wrongWay: 'Went the wrong way',
    notSure: 'Weight not sure',
    freeOn: (day) => `free on ${day}`,
    freeUnknown: 'free day not known',
    noTag: (animal) => `no tag, animal ${String(animal)}`,
    more: (count) => `and ${String(count)} more`,
  },
  inOut: {
    title: 'Head in, head out',
    through: 'Through the crate',
    notCounted: (why) => `Not counted: ${why}`,
    counted: 'Count',
    unknownPen: 'not known where',
    twice: (tags) =>
      `${String(tags)} ${tags === 1 ? 'tag was' : 'tags were'} seen in two sessions, counted in each.`,
  },
  given: {
    title: 'Given today',
    batch: (product, batch) => `${product}, batch ${batch}`,
    used: (head, ml) => `${String(head)} head, ${String(ml)} ml`,
    unknown: (head) => ` ${String(head)} head not known`,
  },
  lots: {
    title: 'Lots',
    noLot: 'no lot',
    killingOut: 'Killing-out per cent',
    killingOutHint: 'Your own figure; it makes carcass weights of live ones.',
    average: 'Average',
    range: 'Lightest to heaviest',
    sd: 'Standard deviation',
    total: 'Together',
    carcass: 'Carcass, estimated',
    tags: 'EID tags',
    tagCount: (read, notRead) => `${String(read)} read, ${String(notRead)} not`,
    weights: 'Head by weight',
    from: 'kg from',
  },
  gain: {
    title: 'Daily liveweight gain',
    none: 'Nobody with a tag was weighed here a day or more before.',
    flock: (head) => `${String(head)} animals`,
    perDay: (grams, uncertainty) => `${grams} ± ${uncertainty} g a day`,
    spread: (sd) => `between animals ± ${sd}`,
    widened: 'Less sure:',
    chart: 'Animals by gain, g a day',
    columns: { tag: 'Tag', before: 'Before', now: 'Now', gain: 'g a day' },
  },
  target: {
    title: 'Who is there when',
    weight: 'Weight to reach, kg',
    sum: (there, coming, unknown) =>
      `${String(there)} there, ${String(coming)} on the way, ${String(unknown)} of unknown gain`,
    never: 'not at this gain',
    open: 'open',
    between: (from, to) => `${from} to ${to}`,
    columns: { tag: 'Tag', now: 'Now', day: 'There on' },
    how: 'If each goes on as it did. The days between which it lies take the ends of both intervals.',
  },
  pace: {
    title: 'How the day went',
    anHour: (animals) => `${String(animals)} animals an hour`,
    tooShort: 'Too short a time for a rate.',
    sorting: (minutes, of) => `Sorting for ${String(minutes)} of ${String(of)} minutes`,
    chart: 'Animals in each quarter of an hour',
    time: 'From',
    animals: 'Animals',
    stops: 'Stops',
    noStops: 'None.',
    battery: 'Battery',
    restVolts: 'at rest, V',
    movingVolts: 'leaf moving, V',
    minutes: (minutes) => `${minutes} min`,
    faults: 'Faults',
    times: (times, first) => `${String(times)} ×, first at ${first}`,
  },
  animals: {
    title: 'Every animal',
    filter: 'Show only',
    filterHint:
      'Part of a tag, a lot, a pen, “by hand” … With three or fewer left each can be put right.',
    shown: (shown, all) => `${String(shown)} of ${String(all)}`,
    columns: { time: 'At', tag: 'Tag', kg: 'kg', where: 'Lot and pen' },
    notCounted: (why) => `not counted: ${why}`,
    corrected: (kind, was, now) => `${kind} put right: was ${was}, is ${now}`,
    by: (who) => ` (${who})`,
    kinds: { exit: 'Exit', lot: 'Lot', pen: 'Pen', tag: 'Tag', void: 'Counting', dose: 'Dose' },
    takenBack: 'as it was',
    clockUnset: 'clock was not set',
    more: 'Show more',
    putRight: 'Put it right',
    takeBack: 'Take that back',
    onlyRead: 'Only animals of today can be put right.',
  },
  history: {
    title: 'One animal',
    ask: 'Last five digits of its tag',
    nobody: 'No tag of this farm ends so.',
    fromList: 'from a list',
    chart: 'Weight, kg',
    columns: { day: 'Day', kg: 'kg', gain: 'g a day', where: 'Lot' },
  },
  keep: {
    title: 'To keep and to print',
    csv: 'Spreadsheet file (CSV: 41.5)',
    csvComma: 'Spreadsheet file (CSV: 41,5)',
    icar: 'ICAR data exchange file',
    sheet: 'Lot sheet',
    sheetOf: 'Of',
    whole: 'the whole day',
    to: 'To (holding, mart, plant)',
    untagged: 'Without a tag, counted by eye',
    loaded: 'Counted out at loading',
    print: 'Open the lot sheet',
    share: 'Show a code for this sheet',
    shareMeans:
      'The code leads another phone in this network to this farm’s sheet of this day alone. Where looking takes no PIN (openLooking in site.yaml), that phone can open the rest by itself.',
    shareCode: (farm) => `A code that leads to the sheet of ${farm}`,
    shareFor: (farm, hours) =>
      `The sheet of ${farm}. Good for ${String(hours)} hours, or until the PIN is changed.`,
    caution: 'Not for trade use. For withdrawal label, vet and local law decide.',
  },
  table: 'As a table',
  kg: (kg) => `${kg} kg`,
  plusMinus: (kg) => `± ${kg}`,
};
