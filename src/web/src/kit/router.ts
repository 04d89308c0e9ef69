// Everything but /phone and /enter is behind the #: no address of a person or visit ever reaches a server's log.
import {signal} from '@preact/signals';

const read = (): string[] => location.hash.replace(/^#\/?/, '').split('/').filter(Boolean).map(decodeURIComponent);

export const route = signal<string[]>(read());
// Set when the page itself led to another address, so that the focus follows the reader to the new heading.
export const moved = signal(0);

addEventListener('hashchange', () => {
  route.value = read();
  moved.value++;
});

export const to = (...parts: string[]): string => `#/${parts.map(encodeURIComponent).join('/')}`;
// One test's views, under the visit's page or under that of somebody alone, whichever the reader is in.
const alone = (): boolean => route.value[0] === 'quick';
export const toTest = (visit: string, slot: string, ...view: string[]): string => to(alone() ? 'quick' : 'visit', visit, slot, ...view);
export const toResult = (visit: string, slot: string): string => (alone() ? to('quick', visit) : to('visit', visit, slot));
export const go = (...parts: string[]): void => {
  location.hash = to(...parts);
};
