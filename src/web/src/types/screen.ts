// Made from models/schema/screen.schema.json by `npm run types`.

export type Notes = {
  code: string;
  text: string;
  t_s: number | null;
}[];

/**
 * Numbers are in the unit that ends the field's name, or, in a row that names its quantity, in the unit that ends the quantity's key. What is not known is null. ..._u is the standard uncertainty of the value beside it.
 */
export interface Screen {
  schema: 'risetrace/screen/1';
  /**
   * Comes first: what stands in the way of testing or of a plan
   */
  cautions: {
    refer: boolean;
    same_day: boolean;
    no_hops: boolean;
    yes: {
      key: string;
      means: 'refer-same-day' | 'refer' | 'no-hops' | 'care';
    }[];
    not_asked: string[];
    pain: {
      slot: string;
      worst: number;
    }[];
    refer_not_asked: boolean;
  };
  program: {
    name: 'risetrace';
    version: string;
  };
  /**
   * As it was written down; files without their folders
   */
  session: {
    date: string;
    person: {
      code: string;
      birth_year: number | null;
      sex: 'female' | 'male' | 'other' | null;
      height_cm: number | null;
      mass_kg: number | null;
      sport: string | null;
      affected_side: 'left' | 'right' | 'both' | 'none' | null;
    };
    cautions: {
      /**
       * This interface was referenced by `undefined`'s JSON-Schema definition
       * via the `patternProperty` "^[a-z0-9][a-z0-9-]*$".
       */
      [k: string]: 'yes' | 'no' | 'not-asked';
    };
    shoes: string | null;
    tester: string | null;
    remark: string | null;
    tests: {
      test: 'heel-raise' | 'hop' | 'lunge';
      side: 'left' | 'right' | 'both' | null;
      knee: 'straight' | 'bent' | null;
      got_by: 'clip' | 'result' | 'by-hand';
      file: string | null;
      options: {
        card: string;
        card_offset_cm: number | null;
        distance_m: number | null;
        px_per_cm: number | null;
        heel_px: [number, number] | null;
        forefoot_px: [number, number] | null;
        ankle_px: [number, number] | null;
        knee_px: [number, number] | null;
        hip_px: [number, number] | null;
        toe_px: [number, number] | null;
        wall_px: number | null;
        end_fraction: number | null;
        end_after: number | null;
        reference_reps: number | null;
        beat_bpm: number | null;
        capture_fps: number | null;
      } | null;
      by_hand: {
        /**
         * This interface was referenced by `undefined`'s JSON-Schema definition
         * via the `patternProperty` "^[a-z][a-z0-9_]*$".
         */
        [k: string]: number | null;
      };
      incline_deg: number | null;
      marker: string | null;
      pain: Pain;
      remark: string | null;
      keep_clip: boolean;
    }[];
    earlier: (string | null)[];
    training_log: string | null;
  };
  results: {
    test: 'heel-raise' | 'hop' | 'lunge';
    side: 'left' | 'right' | 'both' | null;
    knee: 'straight' | 'bent' | null;
    got_by: 'clip' | 'result' | 'by-hand';
    values: Values;
    beats: {
      beat_bpm: number;
      kept: boolean;
      values: Values;
    }[];
    asked_bpm: number | null;
    end_fraction: number | null;
    set_end: 'low-height' | 'pause' | 'clip-end' | 'by-hand' | null;
    marker: string | null;
    incline_deg: number | null;
    scale_from: 'tags' | 'id-1' | 'given' | 'none' | null;
    pain: Pain;
    remark: string | null;
    source_file: string | null;
    source_sha256: string | null;
    recorded_at: string | null;
    program_version: string | null;
    notes: Notes;
    /**
     * A rep's peak or a hop's touchdown each
     */
    strokes: ({
      [k: string]: unknown;
    } & {
      n: number;
      t_s: number;
      height_cm?: number;
      contact_ms?: number;
      counted: boolean;
    })[];
    trace: {
      t_s: (number | null)[];
      height_cm: (number | null)[];
    } | null;
    mass_kg: number | null;
  }[];
  comparison: {
    sides: {
      quantity: string;
      test: 'heel-raise' | 'hop' | 'lunge';
      knee: 'straight' | 'bent' | null;
      beat_bpm: number | null;
      left: Value | null;
      right: Value | null;
      left_minus_right: Difference | null;
      weaker: 'left' | 'right' | null;
      why_not: string | null;
    }[];
    knees: {
      quantity: string;
      side: 'left' | 'right' | 'both' | null;
      bent: Value | null;
      straight: Value | null;
      bent_minus_straight: Difference | null;
    }[];
    references: {
      quantity: string;
      test: 'heel-raise' | 'hop' | 'lunge';
      side: 'left' | 'right' | 'both' | null;
      knee: 'straight' | 'bent' | null;
      measured: Value;
      reference: {
        key: string;
        side: 'left' | 'right' | 'both' | null;
        knee: 'straight' | 'bent' | null;
        sex: 'female' | 'male' | 'any';
        population: string;
        n: number | null;
        statistic: string;
        value: number | null;
        sd: number | null;
        low: number | null;
        high: number | null;
        form: {
          incline_deg: number | null;
          marker: string | null;
          reps_per_min: number | null;
        };
        mark: string;
        source: string;
      };
      of_reference_pct: number | null;
      form_differs: string[];
    }[];
  };
  reading: {
    findings: {
      key: string;
      side: 'left' | 'right' | 'both' | null;
      sureness: 'doubtful' | 'likely' | 'sure';
      because: Evidence[];
      could_also_be: string[];
      ladders: string[];
      ankle_first: boolean;
      mark: string | null;
      source: string | null;
    }[];
    signs: {
      sign: string;
      side: 'left' | 'right' | 'both' | null;
      state: 'good' | 'low' | null;
      evidence: Evidence[];
    }[];
    missing: string[];
  };
  plan: {
    made: boolean;
    why_not: string | null;
    lines: {
      ladder: string;
      rung: Rung;
      next: Rung | null;
      leads: 'left' | 'right' | 'both' | null;
      why: string | null;
      by_reps: number | null;
      load_kg: number | null;
      days: number[];
    }[];
    held_back: string[];
    next_test: string | null;
  };
  next_steps: {
    ladder: string;
    rung: string;
    move: 'up' | 'more-load' | 'hold' | 'down';
    why: string | null;
    load_low_kg: number | null;
    load_high_kg: number | null;
    days_on_rung: number;
    trained_rung: string | null;
    load_kg: number | null;
  }[];
  /**
   * Items: Side null: of the difference left - right
   */
  trends: {
    quantity: string;
    test: 'heel-raise' | 'hop' | 'lunge';
    side: 'left' | 'right' | 'both' | null;
    knee: 'straight' | 'bent' | null;
    beat_bpm: number | null;
    points: {
      date: string;
      value: number | null;
      u: number | null;
    }[];
    change: number | null;
    noise_optimistic: number | null;
    noise_cautious: number | null;
    verdict: 'cannot-tell' | 'not-changed' | 'changed';
    since_last: 'cannot-tell' | 'not-changed' | 'changed';
    better: boolean | null;
    form_differs: string | null;
  }[];
  models_used: {
    file: string;
    own: boolean;
  }[];
  notes: Notes;
}
/**
 * Of 10
 */
export interface Pain {
  before: number | null;
  worst: number | null;
  after: number | null;
}
/**
 * K is the value of the quantity K of quantities.json, K_u its standard uncertainty, K_shared_relative_u the part of K_u over K that clips measured with the same printed card share. A quantity that is not known is not in it.
 */
export interface Values {
  /**
   * This interface was referenced by `Values`'s JSON-Schema definition
   * via the `patternProperty` "^[a-z][a-z0-9_]*$".
   */
  [k: string]: number | null;
}
/**
 * In the unit that ends the quantity's key
 */
export interface Value {
  value: number | null;
  u: number | null;
  shared_relative_u: number | null;
}
export interface Difference {
  difference: number | null;
  difference_u: number | null;
  index_pct: number | null;
  index_pct_u: number | null;
  /**
   * Three readings kept apart: more than measuring can make; more than the same leg differs from day to day by the least and by the greatest published noise; more than is customarily let pass. null: cannot be told.
   */
  beyond: {
    measuring: boolean | null;
    noise_optimistic: boolean | null;
    noise_cautious: boolean | null;
    cut_off: boolean | null;
  };
  noise_optimistic: number | null;
  noise_cautious: number | null;
  cut_off: number | null;
  cut_off_kind: 'difference' | 'index_pct' | null;
}
export interface Evidence {
  sign: string;
  quantity: string;
  test: 'heel-raise' | 'hop' | 'lunge';
  side: 'left' | 'right' | 'both' | null;
  knee: 'straight' | 'bent' | null;
  beat_bpm: number | null;
  against: 'other-side' | 'other-knee' | 'least' | 'greatest';
  value: number | null;
  other: number | null;
  low: boolean;
  sureness: 'doubtful' | 'likely' | 'sure' | null;
  limit: string | null;
  source: string | null;
}
export interface Rung {
  key: string;
  sets: number;
  reps_low: number | null;
  reps_high: number | null;
  low_s: number | null;
  high_s: number | null;
  beat_bpm: number | null;
  loaded: boolean;
  one_leg: boolean;
  from_reps: number | null;
  mark: string | null;
  source: string | null;
}
