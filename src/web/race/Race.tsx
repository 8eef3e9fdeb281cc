import { ageS, isLive, layout, race, stands } from '../store.ts';
import { words } from '../words/en.ts';
import { Control, Faults } from './Asks.tsx';
import { Last, Links } from './Below.tsx';
import { Crate } from './Crate.tsx';
import { Gate } from './Gate.tsx';
import { Lots } from './Lots.tsx';
import { Filling, Practising, Work } from './Notes.tsx';
import { SessionAsks } from './SessionAsks.tsx';

/** Said over everything else while nothing shown is live. */
function Banner() {
  const how = stands.value;
  if (how === 'live') return null;
  const age = ageS.value;
  return (
    <p class="banner" role="alert" data-testid="banner">
      <b>{words.standing[how]}</b>
      {age === null || how === 'connecting' ? null : <span>{words.ageOld(age)}</span>}
    </p>
  );
}

/** Why things stand as they do: what the gate waits for, then the reason of the decision. */
function Why() {
  const now = isLive.value ? race.value : null;
  const said: (string | null)[] = [];
  if (now !== null) {
    const [wait] = now.waits;
    if (wait !== undefined) said.push(words.waits[wait]);
    said.push(now.decision?.reason ?? now.why);
  }
  return (
    <p class="why" data-testid="why">
      {said.filter((one) => one !== null).join(' · ')}
    </p>
  );
}

/** More than usual stands on the page: what is read once makes room for what is watched. */
function isTight(): boolean {
  const now = isLive.value ? race.value : null;
  const marks = now?.animal !== null && (layout.value?.marks.length ?? 0) > 0;
  return (
    now !== null && (marks || now.filling.length > 0 || (now.decision?.spray ?? null) !== null)
  );
}

/** The place Race, drawn as the race lies: the lots ahead, the gate, the crate nearest to you. */
export function Race() {
  return (
    <main class={`race ${isLive.value ? '' : 'stale'} ${isTight() ? 'tight' : ''}`}>
      <h1>{words.title}</h1>
      <Banner />
      <Practising />
      {layout.value?.simulated === true ? <p class="practice">{words.simulated}</p> : null}
      <Work />
      <Faults />
      <Control />
      <SessionAsks />
      <Filling />
      <div class="ground">
        <Lots />
        <Gate />
        <Crate />
        <Why />
      </div>
      <div class="below">
        <Last />
        <Links />
        <p class="trade">{words.notForTrade}</p>
      </div>
    </main>
  );
}
