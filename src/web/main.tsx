import { render } from 'preact';
import { dress, look } from './look.ts';
import { Race } from './race/Race.tsx';
import { Dock } from './race/Dock.tsx';
import { locked } from './race/rain.ts';
import { Menu, SignIn } from './SignIn.tsx';
import { fitFigures } from './fit.ts';
import { Elsewhere, place } from './places.tsx';
import { begin, isLive, layout, me, practice, race, sheet } from './store.ts';
import { words } from './words/en.ts';

/** What Fank is doing and with which plan; and the way to everything that is not sorting. */
function Head() {
  const now = isLive.value ? race.value : null;
  const { role, device } = me.value;
  return (
    <header class={locked.value ? 'locked' : ''}>
      <p class="mode" data-testid="mode" data-mode={now?.mode ?? 'unknown'}>
        <b>
          {practice.value !== null
            ? words.practising
            : now === null
              ? words.noFigure
              : words.mode[now.mode]}
        </b>
        <span>{layout.value?.plan ?? ''}</span>
      </p>
      {role === null ? (
        <button
          type="button"
          class="small"
          onClick={() => {
            sheet.value = 'sign-in';
          }}
        >
          {words.signIn}
        </button>
      ) : (
        <p class="device">{words.signedInAs(words.role[role], device ?? 0)}</p>
      )}
      <button
        type="button"
        class="small"
        aria-expanded={sheet.value === 'menu'}
        onClick={() => {
          sheet.value = sheet.value === 'menu' ? 'none' : 'menu';
        }}
      >
        {words.menu}
      </button>
    </header>
  );
}

function Page() {
  return (
    <>
      <Head />
      <div class={locked.value ? 'scroll locked' : 'scroll'} tabIndex={0}>
        {sheet.value === 'sign-in' ? <SignIn /> : null}
        {sheet.value === 'menu' ? <Menu /> : null}
        {place.value === 'race' ? <Race /> : <Elsewhere />}
      </div>
      <Dock />
    </>
  );
}

document.documentElement.lang = words.lang;
document.documentElement.dir = words.dir;
document.title = words.title;
dress(look.value);
fitFigures();
begin();
// From the code on the yard card; the address is cleaned, so that going back does not ask again.
if (location.hash === '#sign-in') {
  sheet.value = 'sign-in';
  history.replaceState(null, '', location.pathname);
}
const root = document.getElementById('page');
if (root !== null) render(<Page />, root);
