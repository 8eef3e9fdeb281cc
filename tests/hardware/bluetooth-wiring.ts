/** What both ends of the Bluetooth part agree on. */
export const HEAD_NAME = 'Fank trial head';
export const STREAM = {
  service: 'f4a70000-0101-4e5d-9c3b-7b1e2d5a6c88',
  notify: 'f4a70000-0303-4e5d-9c3b-7b1e2d5a6c88',
  write: 'f4a70000-0202-4e5d-9c3b-7b1e2d5a6c88',
} as const;
