import type { Server } from 'node:http';

/** Connections at once: all together, and of one address, so that one can never shut out the others. */
const MOST = 128;
const MOST_OF_ONE = 32;

/** Keeps room at the door: stop has to get through whatever one address does. */
export function keepRoom(server: Server): void {
  server.maxConnections = MOST;
  const open = new Map<string, number>();
  server.on('connection', (socket) => {
    const address = socket.remoteAddress ?? '';
    const now = (open.get(address) ?? 0) + 1;
    open.set(address, now);
    socket.once('close', () => {
      const left = (open.get(address) ?? 1) - 1;
      if (left > 0) open.set(address, left);
      else open.delete(address);
    });
    if (now > MOST_OF_ONE) socket.destroy();
  });
}
