// The tests of a visit, in the order of the work.
export type Test = 'heel-raise' | 'hop' | 'lunge';
export type Side = 'left' | 'right' | 'both';
export type Knee = 'straight' | 'bent' | null;
export interface Slot {slot: string; test: Test; side: Side; knee: Knee}
export interface Row {key: string; test: Test; knee: Knee; sides: Side[]}

export const rows: Row[] = [
  {key: 'lunge', test: 'lunge', knee: null, sides: ['left', 'right']},
  {key: 'heel-raise-straight', test: 'heel-raise', knee: 'straight', sides: ['left', 'right']},
  {key: 'heel-raise-bent', test: 'heel-raise', knee: 'bent', sides: ['left', 'right']},
  {key: 'hop', test: 'hop', knee: null, sides: ['both', 'left', 'right']}];

export const slotName = (test: Test, side: Side, knee: Knee): string => [test, side, ...(knee ? [knee] : [])].join('-');

export function slotOf(name: string): Slot | null {
  for (const row of rows)
    for (const side of row.sides)
      if (slotName(row.test, side, row.knee) === name) return {slot: name, test: row.test, side, knee: row.knee};
  return null;
}

export const everySlot: Slot[] = rows.flatMap(row => row.sides.map(side => ({slot: slotName(row.test, side, row.knee), test: row.test, side, knee: row.knee})));

// The key of the test's name in the papers' words.
export const testKey = (slot: {test: Test; knee: Knee}): string =>
  slot.test === 'heel-raise' ? `slot.heel-raise-${slot.knee ?? 'not-stated'}` : `slot.${slot.test}`;
