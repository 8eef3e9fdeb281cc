/** Cable and battery for the installer: sums only, nothing is asked of the service. */
import type { FastifyInstance } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import { z } from 'zod';
import { OHM_PER_KM } from '../../fitting/cable.ts';
import { powerOf } from '../../fitting/power.ts';

const from = (least: number, most: number) => z.number().min(least).max(most);
const body = z.strictObject({
  amps: from(0.1, 200),
  metres: from(0.1, 500),
  celsius: from(-40, 90),
  volts: from(1, 60),
  allow: from(0.1, 50),
  mm2: z
    .number()
    .refine((size) => Object.hasOwn(OHM_PER_KM, String(size)), 'no standard size')
    .optional(),
  battery: z
    .strictObject({
      restVolts: from(8, 16),
      ampHours: from(1, 1000),
      idleAmps: from(0, 50),
      strokesAnHour: from(0, 10_000),
      strokeSeconds: from(0.1, 60),
    })
    .optional(),
});

// eslint-disable-next-line @typescript-eslint/require-await -- fastify's plugin shape
export async function powerRoutes(plain: FastifyInstance): Promise<void> {
  const app = plain.withTypeProvider<ZodTypeProvider>();
  app.post('/api/fitting/power', { config: { access: 'operator' }, schema: { body } }, (request) =>
    powerOf(request.body),
  );
}
