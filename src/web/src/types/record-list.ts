// Made from models/schema/record-list.schema.json by `npm run types`.

/**
 * risetrace record list --json
 */
export interface RecordList {
  schema: 'risetrace/record-list/1';
  people: {
    /**
     * the person's; never a name
     */
    code: string;
    sessions: number;
    first_date: string;
    last_date: string;
  }[];
  erasures: {
    number: string;
    /**
     * UTC
     */
    at: string;
    by: string | null;
    sessions: number;
    documents: number;
    clips: number;
    clip_bytes: number;
  }[];
}
