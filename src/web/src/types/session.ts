// Made from models/schema/session.schema.json by `npm run types`.

export interface Session {
  $schema?: string;
  schema: 'risetrace/session/1';
  date: string;
  person: {
    code: string;
    birth_year?: number | null;
    sex?: ('female' | 'male' | 'other') | null;
    height_cm?: number | null;
    mass_kg?: number | null;
    sport?: string | null;
    affected_side?: ('left' | 'right' | 'both' | 'none') | null;
  };
  cautions?: {
    [k: string]: 'yes' | 'no' | 'not-asked';
  };
  shoes?: string;
  tester?: string;
  remark?: string;
  tests?: ({
    [k: string]: unknown;
  } & {
    test: 'heel-raise' | 'hop' | 'lunge';
    side: 'left' | 'right' | 'both';
    knee?: 'straight' | 'bent';
    clip?: string;
    result?: string;
    result_of?: string;
    by_hand?: {
      [k: string]: number;
    };
    options?: {
      card?: 'tags' | 'id-1' | 'none';
      card_offset_cm?: number;
      distance_m?: number;
      px_per_cm?: number;
      /**
       * @minItems 2
       * @maxItems 2
       */
      heel_px?: [number, number];
      /**
       * @minItems 2
       * @maxItems 2
       */
      forefoot_px?: [number, number];
      end_fraction?: number;
      end_after?: number;
      reference_reps?: number;
      beat_bpm?: number;
      capture_fps?: number;
      /**
       * @minItems 2
       * @maxItems 2
       */
      ankle_px?: [number, number];
      /**
       * @minItems 2
       * @maxItems 2
       */
      knee_px?: [number, number];
      /**
       * @minItems 2
       * @maxItems 2
       */
      hip_px?: [number, number];
      /**
       * @minItems 2
       * @maxItems 2
       */
      toe_px?: [number, number];
      wall_px?: number;
    };
    incline_deg?: number | null;
    marker?: string;
    pain?: {
      before?: number | null;
      worst?: number | null;
      after?: number | null;
    };
    remark?: string;
    keep_clip?: boolean;
  })[];
  /**
   * @minItems 0
   */
  earlier?: string[];
  training_log?: string;
}
