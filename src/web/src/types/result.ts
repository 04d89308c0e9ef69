// Made from models/schema/result.schema.json by `npm run types`.

export type Tally = number;
export type Amount = number;
export type AmountOrNull = null | Amount;
export type NumberOrNull = number | null;
export type BooleanOrNull = boolean | null;
export type Forward = null | 'left' | 'right';
export type TallyOrNull = null | Tally;
export type TextOrNull = null | string;
export type ShareOrNull = null | number;
export type InstantOrNull = null | Instant;
export type PlaceOrNull = null | [number, number];
export type StickerOrNull = null | Sticker;

/**
 * Numbers are in the unit that ends the field's name; what is not known is null; ..._u is the standard uncertainty of the value beside it. Fields may be added, so unknown ones are allowed.
 */
export interface Result {
  schema: 'risetrace/result/1';
  program: {
    name: 'risetrace';
    version: string;
  };
  clip: {
    file: string;
    sha256: null | string;
    width_px: number;
    height_px: number;
    rotation_deg: 0 | 90 | 180 | 270;
    frames: Tally;
    duration_s: Amount;
    frame_rate_hz: Amount;
    frame_rate_from: 'container' | 'capture-tag' | 'given';
    timing_irregular: boolean;
    codec: string;
    mirrored?: boolean;
    stretch?: Amount;
    frames_missing?: Tally;
    steps_zero?: Tally;
    recorded_at?: string | null;
  };
  scale: {
    from: 'tags' | 'id-1' | 'given' | 'none';
    px_per_cm: AmountOrNull;
    px_per_cm_u: AmountOrNull;
    tilt_deg: AmountOrNull;
    fit_rms_px: AmountOrNull;
    distance_m?: AmountOrNull;
    parts?: null | {
      [k: string]: Amount;
    };
  };
  sticker: Sticker;
  heel_raise: null | HeelRaise;
  hop: null | Hop;
  notes: {
    code: string;
    text: string;
    t_s: NumberOrNull;
  }[];
  asked?: AskedHeelRaise | AskedHop | AskedLunge;
  told?: {
    card: 'tags' | 'id-1' | 'none';
    card_offset_cm: number;
    distance_m: AmountOrNull;
    px_per_cm: AmountOrNull;
    heel_px: PlaceOrNull;
    forefoot_px: PlaceOrNull;
    ankle_px: PlaceOrNull;
    knee_px: PlaceOrNull;
    hip_px: PlaceOrNull;
    capture_fps: AmountOrNull;
  };
  lunge?: null | Lunge;
  corrections?: null | [{}, ...{}[]];
  automatic?: null | {};
  leg_stickers?: null | {
    ankle: StickerOrNull;
    knee: StickerOrNull;
    hip: StickerOrNull;
  };
}
export interface Sticker {
  found_by: 'search' | 'hand';
  radius_px: AmountOrNull;
  frames_seen: Tally;
  frames_bridged: Tally;
  noise_px: AmountOrNull;
}
export interface HeelRaise {
  reps: Rep[];
  count: Tally;
  count_at: {
    [k: string]: Tally;
  };
  reference_height_cm: AmountOrNull;
  greatest_height_cm: AmountOrNull;
  total_height_cm: AmountOrNull;
  work_j: AmountOrNull;
  reference_height_cm_u?: AmountOrNull;
  greatest_height_cm_u?: AmountOrNull;
  total_height_cm_u?: AmountOrNull;
  work_j_u?: AmountOrNull;
  set_end: {
    why: 'low-height' | 'pause' | 'clip-end' | 'by-hand';
    t_s: Amount;
    t_s_u?: AmountOrNull;
    frame: Tally;
    after_rep: Tally;
    last_full_rep?: Tally;
  };
  beat: {
    asked_bpm: AmountOrNull;
    heard_bpm: AmountOrNull;
    rep_period_s: AmountOrNull;
    on_beat_share: null | number;
  };
  knee_deg: null | {
    mean: number;
    least: number;
    greatest: number;
    mean_u?: AmountOrNull;
  };
  standing_cm?: number;
  knee_drift_deg?: NumberOrNull;
  knee_drift_deg_u?: AmountOrNull;
  forward?: Forward;
}
export interface Rep {
  n: number;
  start_s: number;
  peak_s: number;
  end_s: number;
  height_cm: number;
  height_cm_u: AmountOrNull;
  floor_cm: number;
  of_reference: NumberOrNull;
  low: boolean;
  lowered: boolean;
  on_beat: BooleanOrNull;
  counted: boolean;
  period_s?: AmountOrNull;
  start_s_u?: AmountOrNull;
  peak_s_u?: AmountOrNull;
  end_s_u?: AmountOrNull;
  height_cm_u_own?: AmountOrNull;
  of_reference_u?: AmountOrNull;
  knee_deg?: NumberOrNull;
  knee_least_deg?: NumberOrNull;
  knee_greatest_deg?: NumberOrNull;
  knee_held?: BooleanOrNull;
  by_hand?: null | 'moved' | 'put-in';
  address_s?: number;
}
export interface Hop {
  hops: OneHop[];
  count: Tally;
  contact_ms: AmountOrNull;
  flight_ms: AmountOrNull;
  hop_rate_hz: AmountOrNull;
  height_cm: AmountOrNull;
  rsi: AmountOrNull;
  stiffness_kn_m: AmountOrNull;
  steps: Step[];
  lowest_kept_bpm: AmountOrNull;
  contact_ms_u?: AmountOrNull;
  rsi_u?: AmountOrNull;
  contact_from?: null | 'sole' | 'forefoot-sticker';
  beat?: {
    asked_bpm: AmountOrNull;
    heard_bpm: AmountOrNull;
  };
  sound_offset_ms?: NumberOrNull;
  sound_offset_ms_u?: AmountOrNull;
  contacts?: Contact[];
  recount?: {};
}
export interface OneHop {
  n: number;
  touchdown_s: number;
  takeoff_s: NumberOrNull;
  touchdown_frame: Tally;
  takeoff_frame: TallyOrNull;
  contact_ms: AmountOrNull;
  contact_ms_u: AmountOrNull;
  flight_ms: AmountOrNull;
  flight_ms_u: AmountOrNull;
  period_ms: AmountOrNull;
  height_cm: AmountOrNull;
  rsi: AmountOrNull;
  stiffness_kn_m: AmountOrNull;
  counted: boolean;
  why_not?: TextOrNull;
  by_hand?: null | 'moved' | 'put-in' | 'taken-out';
  address_frame?: Tally;
}
export interface Step {
  beat_bpm: Amount;
  from_s: number;
  to_s: number;
  hops: Tally;
  hop_rate_hz: AmountOrNull;
  rate_error_pct: NumberOrNull;
  phase_lock: ShareOrNull;
  contact_ms: AmountOrNull;
  kept: boolean;
  phase_p?: ShareOrNull;
  contact_ms_u?: AmountOrNull;
  height_cm?: AmountOrNull;
  rsi?: AmountOrNull;
  rsi_u?: AmountOrNull;
  stiffness_kn_m?: AmountOrNull;
}
export interface Contact {
  touchdown: InstantOrNull;
  takeoff: InstantOrNull;
  doubtful: boolean;
  why: TextOrNull;
}
export interface Instant {
  t_s: number;
  t_s_u: AmountOrNull;
  frame: Tally;
  from: 'sole' | 'forefoot-sticker' | 'heel-sticker';
  by_hand?: boolean;
}
export interface AskedHeelRaise {
  side: null | 'left' | 'right' | 'both';
  knee: null | 'straight' | 'bent';
  mass_kg: AmountOrNull;
  end_fraction: number;
  end_after: number;
  reference_reps: number;
  beat_bpm: AmountOrNull;
  test?: 'heel-raise';
  step_across_cm?: Amount;
  beat_stated?: boolean;
}
export interface AskedHop {
  side: null | 'left' | 'right' | 'both';
  knee: null | 'straight' | 'bent';
  mass_kg: AmountOrNull;
  beat_bpm: AmountOrNull;
  test: 'hop';
}
export interface AskedLunge {
  side: null | 'left' | 'right' | 'both';
  knee: null | 'straight' | 'bent';
  mass_kg: AmountOrNull;
  test: 'lunge';
  toe_px?: PlaceOrNull;
  wall_x_px?: AmountOrNull;
}
export interface Lunge {
  shank_deg: number;
  shank_deg_u: Amount;
  standing_shank_deg: NumberOrNull;
  change_deg: NumberOrNull;
  change_deg_u: AmountOrNull;
  toe_to_wall_cm: AmountOrNull;
  toe_to_wall_cm_u: AmountOrNull;
  held: boolean;
  held_s: Amount;
  hold_from_s: Amount;
  hold_to_s: Amount;
  ankle_rise_cm?: NumberOrNull;
  ankle_forward_cm?: NumberOrNull;
  upright_from?: 'card' | 'picture';
  forward?: Forward;
}
