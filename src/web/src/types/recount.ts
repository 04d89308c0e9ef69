// Made from models/schema/recount.schema.json by `npm run types`.

/**
 * What `risetrace recount` says. Fields that a result has too are as there; uncertainties are null: only a full measuring tells them.
 */
export interface Recount {
  schema: 'risetrace/recount/1';
  program: {
    name: 'risetrace';
    version: string;
  };
  test: 'heel-raise' | 'hop';
  heel_raise: null | {
    reps: unknown[];
    count: number;
  };
  hop: null | {
    hops: unknown[];
    count: number;
  };
  automatic: {};
  needs_measuring: ('heel' | 'forefoot' | 'scale')[];
}
