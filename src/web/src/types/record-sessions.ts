// Made from models/schema/record-sessions.schema.json by `npm run types`.

/**
 * risetrace record list CODE --json and record show --json
 */
export interface RecordSessions {
  schema: 'risetrace/record-sessions/1';
  /**
   * the person's; never a name
   */
  code: string;
  /**
   * @minItems 1
   */
  sessions: [
    {
      date: string;
      /**
       * @minItems 1
       */
      revisions: [
        {
          number: number;
          /**
           * UTC
           */
          at: string;
          /**
           * null: not stated
           */
          by: string | null;
          /**
           * why something was replaced; null: nothing was
           */
          why: string | null;
        },
        ...{
          number: number;
          /**
           * UTC
           */
          at: string;
          /**
           * null: not stated
           */
          by: string | null;
          /**
           * why something was replaced; null: nothing was
           */
          why: string | null;
        }[]
      ];
      documents: {
        kind: 'session' | 'result' | 'screen' | 'log';
        /**
         * of which test; empty: of the whole visit
         */
        slot: string;
        revision: number;
        /**
         * false: a later saving replaced it
         */
        current: boolean;
        sha256: string;
        bytes: number;
        /**
         * the document itself; record show only
         */
        json?: {
          [k: string]: unknown;
        };
      }[];
      clips: {
        slot: string;
        revision: number;
        current: boolean;
        /**
         * where it lies
         */
        file: string;
        sha256: string;
        bytes: number;
        extension: string;
      }[];
    },
    ...{
      date: string;
      /**
       * @minItems 1
       */
      revisions: [
        {
          number: number;
          /**
           * UTC
           */
          at: string;
          /**
           * null: not stated
           */
          by: string | null;
          /**
           * why something was replaced; null: nothing was
           */
          why: string | null;
        },
        ...{
          number: number;
          /**
           * UTC
           */
          at: string;
          /**
           * null: not stated
           */
          by: string | null;
          /**
           * why something was replaced; null: nothing was
           */
          why: string | null;
        }[]
      ];
      documents: {
        kind: 'session' | 'result' | 'screen' | 'log';
        /**
         * of which test; empty: of the whole visit
         */
        slot: string;
        revision: number;
        /**
         * false: a later saving replaced it
         */
        current: boolean;
        sha256: string;
        bytes: number;
        /**
         * the document itself; record show only
         */
        json?: {
          [k: string]: unknown;
        };
      }[];
      clips: {
        slot: string;
        revision: number;
        current: boolean;
        /**
         * where it lies
         */
        file: string;
        sha256: string;
        bytes: number;
        extension: string;
      }[];
    }[]
  ];
}
