/** What the plan screen says of deciding, marks, gain and splits; fetched with it. */
export interface PlanRuleWords {
  noMarkRule: string;
  markRule: string;
  mark: string;
  is: string;
  isGiven: string;
  isNot: string;
  isRange: string;
  isColour: string;
  atLeast: string;
  atMost: string;
  andAlso: string;
  oneLess: string;
  goesTo: string;
  rule: (at: number) => string;
  firstRule: string;
  addRule: string;
  removeRule: string;
  moveUp: string;
  gain: string;
  gainOn: string;
  gainOff: string;
  gainHint: string;
  leastDays: string;
  fromGrams: string;
  belowGrams: string;
  deciding: string;
  settleOn: string;
  withinKg: string;
  forSeconds: string;
  sureOn: string;
  confidence: string;
  doubtToSlaughter: string;
  doubtCaution: string;
  shareWith: (lot: string) => string;
}

export const planRuleWords: PlanRuleWords = {
  noMarkRule: 'No rule uses marks.',
  markRule: 'A mark decides only where it is offered above, or has a wired button.',
  mark: 'Mark',
  is: 'Is',
  isGiven: 'given',
  isNot: 'not given',
  isRange: 'from … to …',
  isColour: 'this colour',
  atLeast: 'At least',
  atMost: 'At most',
  andAlso: 'And also …',
  oneLess: 'One less',
  goesTo: 'Goes',
  rule: (at) => `Rule ${String(at + 1)}`,
  firstRule: 'The first rule that is met decides.',
  addRule: 'One more rule',
  removeRule: 'Take this rule out',
  moveUp: 'Move up',
  gain: 'Daily gain',
  gainOn: 'Sort by daily gain too',
  gainOff: 'Gain decides nothing.',
  gainHint: 'Only where the gain is surely beyond a limit; else the weight decides.',
  leastDays: 'Last weighed at least so many days ago',
  fromGrams: 'From, g a day',
  belowGrams: 'Below, g a day',
  deciding: 'When a weight counts',
  settleOn: 'When it stands still',
  withinKg: 'Within, kg',
  forSeconds: 'For, s',
  sureOn: 'As soon as it is sure',
  confidence: 'Sure to, %',
  doubtToSlaughter: 'Doubt may lead to slaughter',
  doubtCaution:
    'An animal that is not sure, not read, or over from a full lot could then go to slaughter. Leave this off unless somebody checks each one.',
  shareWith: (lot) => `Share evenly with ${lot}`,
};
