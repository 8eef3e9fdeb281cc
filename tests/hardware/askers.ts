/** Asks the page for days out of a million rows and tries wrong PINs, one after the other, until it is ended. */
const PAGE = 'http://127.0.0.1:8080';
const answers = { days: 0, refusedPins: 0, others: 0 };

async function askForDay(n: number): Promise<void> {
  const day = new Date(Date.UTC(2016, 0, 1 + ((n * 617) % 3600))).toISOString().slice(0, 10);
  const answer = await fetch(`${PAGE}/api/book?day=${day}`);
  await answer.arrayBuffer();
  if (answer.ok || answer.status === 404) answers.days += 1;
  else answers.others += 1;
}

async function tryPin(n: number): Promise<void> {
  const answer = await fetch(`${PAGE}/api/sign-in`, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify({ pin: String(100_000 + n) }),
  });
  await answer.arrayBuffer();
  if (answer.status === 401 || answer.status === 403 || answer.status === 429)
    answers.refusedPins += 1;
  else answers.others += 1;
}

process.once('SIGTERM', () => {
  console.log(JSON.stringify(answers));
  process.exit(0);
});
for (let n = 0; ; n += 1) {
  await Promise.allSettled([askForDay(n), tryPin(n)]);
  if (n === 0) console.log(JSON.stringify(answers));
  await new Promise((go) => setTimeout(go, 200));
}
