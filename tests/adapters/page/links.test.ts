import { expect, test } from 'vitest';
import { createLinkMeter, type LinkHealth } from '../../../src/adapters/page/links.ts';
import type { LinkFigures } from '../../../src/adapters/page/messages.ts';
import { serve } from './served.ts';

const HEALTH: LinkHealth = {
  up: true,
  reason: 'whole frames arrive',
  heardAt: 900,
  lostAt: null,
  opened: 1,
  frames: 10,
  noise: 2,
};

test('figures once a second; the rate is over the last 5 s', () => {
  const health = { ...HEALTH };
  const meter = createLinkMeter({ scale: () => health });
  expect(meter.read(1000)).toEqual([
    {
      link: 'scale',
      up: true,
      reason: 'whole frames arrive',
      perSecond: 0,
      noise: 2,
      heardAgeMs: 100,
      reopened: 0,
      lostAgoMs: null,
    },
  ]);
  expect(meter.read(1999)).toBeNull();
  const rates: (number | undefined)[] = [];
  for (let t = 2000; t <= 16_000; t += 1000) {
    if (t <= 10_000) health.frames += 10;
    rates.push(meter.read(t)?.[0]?.perSecond);
  }
  expect(rates.slice(0, 9)).toEqual(Array.from({ length: 9 }, () => 10));
  expect(rates.slice(9)).toEqual([8, 6, 4, 2, 0, 0]);
});

test('how often it was opened again, and since when it was lost', () => {
  const lost = { ...HEALTH, up: false, reason: 'gone', opened: 4, lostAt: 700, heardAt: null };
  const meter = createLinkMeter({ reader: () => lost, scale: () => HEALTH });
  expect(meter.read(1000)?.[0]).toMatchObject({
    link: 'reader',
    up: false,
    reason: 'gone',
    heardAgeMs: null,
    reopened: 3,
    lostAgoMs: 300,
  });
});

test('shown with ages that grow, and in the figures; what is not known is left out', async () => {
  const served = await serve();
  expect((await served.inject({ url: '/api/links' })).json()).toEqual([]);
  const scale: LinkFigures = {
    link: 'scale',
    up: true,
    reason: 'whole frames arrive',
    perSecond: 9.8,
    noise: 3,
    heardAgeMs: 40,
    reopened: 2,
    lostAgoMs: 61_000,
  };
  served.page.hear([scale, { ...scale, link: 'reader', heardAgeMs: null, lostAgoMs: null }]);
  served.time.mono += 500;
  const links = (await served.inject({ url: '/api/links' })).json<LinkFigures[]>();
  expect(links.map((one) => [one.heardAgeMs, one.lostAgoMs])).toEqual([
    [540, 61_500],
    [null, null],
  ]);
  const { body } = await served.inject({ url: '/metrics' });
  expect(body).toContain('fank_link_frames_per_second{link="scale"} 9.8\n');
  expect(body).toContain('fank_link_noise_total{link="reader"} 3\n');
  expect(body).toContain('fank_link_reopenings_total{link="scale"} 2\n');
  expect(body).toContain('fank_link_heard_age_seconds{link="scale"} 0.54\n');
  expect(body).toContain('fank_link_since_loss_seconds{link="scale"} 61.5\n');
  expect(body).not.toContain('seconds{link="reader"} null');
  expect(body).not.toMatch(/heard_age_seconds\{link="reader"/);
});
