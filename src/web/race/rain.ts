import { signal } from '@preact/signals';

/**
 * Rain lock: drops that fall on the screen press nothing. Stop and the answers to what is asked stay
 * live; what says that somebody has looked is held instead of tapped.
 */
export const locked = signal(false);
