// Made from models/schema/training-log.schema.json by `npm run types`.

export interface TrainingLog {
  $schema?: string;
  schema: 'risetrace/training-log/1';
  person: string;
  days: {
    date: string;
    ladder: string;
    rung: string;
    sets: ({
      [k: string]: unknown;
    } & {
      reps?: number;
      seconds?: number;
      load_kg?: number;
      beat_bpm?: number;
    })[];
    pain_during?: number | null;
    pain_next_morning?: number | null;
    remark?: string;
  }[];
}
