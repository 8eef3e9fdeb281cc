/** The sums of cable and battery, at the fitting's step of the supply. */
import { useState } from 'preact/hooks';
import type { Power, PowerAsked } from '../../fitting/power.ts';
import { post } from '../api.ts';
import { numberOf } from '../number.ts';
import { cableWords as words } from '../words/cable.ts';
import { words as common } from '../words/en.ts';

/** Battery at its nominal 12 V; what the Pi and the coils draw all day. */
const NOMINAL_VOLTS = 12;
const IDLE_AMPS = 1;

const LABELS = {
  amps: words.amps,
  metres: words.metres,
  celsius: words.celsius,
  allow: words.allow,
  restVolts: words.restVolts,
  ampHours: words.ampHours,
  strokesAnHour: words.strokesAnHour,
  strokeSeconds: words.strokeSeconds,
};
type Name = keyof typeof LABELS;
const CABLE: Name[] = ['amps', 'metres', 'celsius', 'allow'];
const BATTERY: Name[] = ['restVolts', 'ampHours', 'strokesAnHour', 'strokeSeconds'];
const FIRST: Record<Name, string> = {
  ...{ amps: '', metres: '', celsius: '20', allow: '5' },
  ...{ restVolts: '', ampHours: '', strokesAnHour: '400', strokeSeconds: '1' },
};

/** What is asked, or null where a field is missing. */
function askedOf(fields: Record<Name, string>): PowerAsked | null {
  const [amps = null, metres = null, celsius = null, allow = null] = CABLE.map((name) =>
    numberOf(fields[name]),
  );
  if (amps === null || metres === null || celsius === null || allow === null) return null;
  const cable = { amps, metres, celsius, allow, volts: NOMINAL_VOLTS };
  if (fields.restVolts.trim() === '' && fields.ampHours.trim() === '') return cable;
  const [restVolts = null, ampHours = null, strokesAnHour = null, strokeSeconds = null] =
    BATTERY.map((name) => numberOf(fields[name]));
  if (restVolts === null || ampHours === null) return null;
  if (strokesAnHour === null || strokeSeconds === null) return null;
  const battery = { restVolts, ampHours, idleAmps: IDLE_AMPS, strokesAnHour, strokeSeconds };
  return { ...cable, battery };
}

function saidOf({ mm2, loss, carries, fuse, charge, hours }: Power, allow: string): string[] {
  const said: string[] = [];
  if (mm2 === null || loss === null) said.push(words.noSize(allow));
  else {
    const { dropVolts, dropPercent, voltsAtLoad } = loss;
    const figures = [dropVolts.toFixed(2), dropPercent.toFixed(1), voltsAtLoad.toFixed(2)] as const;
    said.push(words.size(String(mm2), ...figures));
    said.push(
      fuse === null || carries === null
        ? words.noFuse
        : words.fuse(String(fuse), carries.toFixed(0)),
    );
  }
  if (charge !== null) {
    said.push(words.charge(String(charge.percent), String(charge.from), String(charge.to)));
  }
  if (hours !== null) {
    said.push(words.hours(String(hours.about), String(hours.least), String(hours.most)));
  }
  return said;
}

export function CablePanel() {
  const [fields, setFields] = useState(FIRST);
  const [said, setSaid] = useState<string[]>([]);
  const field = (name: Name) => (
    <label key={name}>
      {LABELS[name]}
      <input
        inputMode="decimal"
        autocomplete="off"
        name={name}
        value={fields[name]}
        onInput={(event) => {
          const { value } = event.currentTarget;
          setFields((all) => ({ ...all, [name]: value }));
        }}
      />
    </label>
  );
  const reckon = async (): Promise<void> => {
    const asked = askedOf(fields);
    if (asked === null) {
      setSaid([words.wrong]);
      return;
    }
    const answer = await post<Power>('/api/fitting/power', asked);
    if (answer.ok) setSaid(saidOf(answer.value, fields.allow));
    else setSaid([answer.refusal?.reason ?? common.refusal['no-answer']]);
  };
  return (
    <details class="item" data-testid="cable">
      <summary>{words.title}</summary>
      <p>{words.how}</p>
      {CABLE.map(field)}
      <h3>{words.batteryTitle}</h3>
      <p>{words.batteryHow}</p>
      {BATTERY.map(field)}
      <button type="button" class="act" onClick={() => void reckon()}>
        <b>{words.reckon}</b>
      </button>
      <div role="status" data-testid="cable-says">
        {said.map((text) => (
          <p key={text}>{text}</p>
        ))}
      </div>
      <p>{words.rough}</p>
    </details>
  );
}
