// One recording from the camera's opening to its end: what the server tells of it, kept for the view to show.
import {signal} from '@preact/signals';
import {del, post, asFault, type Fault} from '../kit/api';
import {hear, type Happening, type SaidFault} from '../kit/store';
import {t} from '../kit/words';
import {closeCamera, openCamera, type Camera, type CameraTrouble} from './camera';
import {record, recordingKind, type Recording} from './recorder';
import {allowSound, quiet, soundEnd, soundLow, speak} from './say';

// The lines of `risetrace live --events lines`.
export interface Rep {n: number; height_cm: number; of_reference: number | null; low: boolean; on_beat: boolean | null; period_s: number | null; counted: boolean; t_s: number; count: number}
export interface SetEnd {why: string; t_s: number; count: number; after_rep: number}
interface Note {code: string; text: string; t_s: number | null}
type Line =
  | {event: 'ready'; width: number; height: number; frame_rate: number} | {event: 'height'; t_s: number; height_cm: number} | ({event: 'rep'} & Rep)
  | {event: 'low-warning'; n: number; left: number} | ({event: 'set-end' | 'set-end-final'} & SetEnd) | ({event: 'note'} & Note)
  | {event: 'done'; count: number | null; frames_left_out: number; error: string | null} | {event: 'failed'; error: {code: string; what: string; why: string; do: string}};

export type Stage = 'closed' | 'asking' | 'ready' | 'beginning' | 'running' | 'ending' | 'handed-over';
export type Trouble = CameraTrouble | 'unplugged' | 'no-recorder';

export class LiveSession {
  readonly stage = signal<Stage>('closed');
  readonly camera = signal<Camera | null>(null);
  readonly trouble = signal<Trouble | null>(null);
  readonly fault = signal<Fault | null>(null);
  readonly height = signal<number | null>(null);
  readonly greatest = signal(0);
  readonly reps = signal<Rep[]>([]);
  readonly notes = signal<Note[]>([]);
  readonly end = signal<SetEnd | null>(null);
  readonly endSaid_s = signal<number | null>(null);  // after the recording began
  readonly low = signal(false);
  readonly failed = signal<SaidFault | null>(null);
  readonly wasHidden = signal(false);

  private live: string | null = null;
  private recording: Recording | null = null;
  private early: Happening[] = [];  // what was told before the server's answer named the recording
  private readonly stopHearing: () => void;

  constructor(private readonly path: string, private readonly visit: string, private readonly slot: string) {
    this.stopHearing = hear(happening => this.heard(happening));
    document.addEventListener('visibilitychange', this.watchHidden);
    addEventListener('beforeunload', this.warn);
  }

  private readonly watchHidden = (): void => {
    if (document.hidden && this.stage.value === 'running') this.wasHidden.value = true;
  };
  private readonly warn = (event: BeforeUnloadEvent): void => {
    if (this.stage.value === 'running' || this.stage.value === 'ending') event.preventDefault();
  };

  async open(): Promise<void> {
    this.trouble.value = null;
    this.fault.value = null;
    this.stage.value = 'asking';
    if (!recordingKind()) return this.stay('no-recorder');
    const camera = await openCamera();
    if (typeof camera === 'string') return this.stay(camera);
    this.camera.value = camera;
    this.stage.value = 'ready';
    camera.track.addEventListener('ended', () => {
      this.trouble.value = 'unplugged';
      if (this.stage.value === 'running') void this.stop();
      else this.close();
    });
  }

  private stay(trouble: Trouble): void {
    this.trouble.value = trouble;
    this.stage.value = 'closed';
  }

  async begin(): Promise<void> {
    const kind = recordingKind();
    const camera = this.camera.value;
    if (!kind || !camera || this.stage.value !== 'ready') return;
    this.stage.value = 'beginning';
    await allowSound();
    this.reps.value = [];
    this.notes.value = [];
    this.end.value = null;
    this.low.value = false;
    this.failed.value = null;
    this.early = [];
    try {
      const {live} = await post<{live: string}>(`${this.path}/live`, {mime: kind, settings: {}});
      this.live = live;
      this.recording = record(camera.stream, kind, `/api/live/${live}`, fault => {
        this.fault.value = fault;
        void this.stop();
      });
      this.stage.value = 'running';
      for (const happening of this.early) this.heard(happening);
    } catch (error) {
      this.fault.value = asFault(error);
      this.stage.value = 'ready';
    }
  }

  // The recording is whole: it becomes the test's clip and is measured as any other.
  async stop(): Promise<void> {
    if (this.stage.value !== 'running' || !this.recording) return;
    this.stage.value = 'ending';
    await this.recording.stop();
    try {
      await post(`/api/live/${this.live}/end`);
      this.stage.value = 'handed-over';
    } catch (error) {
      this.fault.value = asFault(error);
      this.stage.value = 'closed';
    }
    this.close();
  }

  // Nothing of it is kept.
  async drop(): Promise<void> {
    const live = this.live;
    if (this.stage.value !== 'running' || !live) return;
    this.stage.value = 'closed';
    this.close();
    await this.recording?.stop().catch(() => undefined);
    await del(`/api/live/${live}`).catch(error => (this.fault.value = asFault(error)));
  }

  close(): void {
    closeCamera(this.camera.value);
    this.camera.value = null;
    if (this.stage.value !== 'handed-over' && this.stage.value !== 'ending') this.stage.value = 'closed';
  }

  // The view is left: a recording that runs is not lost.
  leave(): void {
    void this.stop().finally(() => this.stopHearing());
    if (this.stage.value !== 'ending') this.stopHearing();
    this.close();
    quiet();
    document.removeEventListener('visibilitychange', this.watchHidden);
    removeEventListener('beforeunload', this.warn);
  }

  private heard(happening: Happening): void {
    if (happening.what !== 'live' || happening.visit !== this.visit || happening.slot !== this.slot) return;
    if (this.stage.value === 'beginning') {
      this.early.push(happening);
      return;
    }
    if (happening.live !== this.live) return;
    this.take(happening.event as Line);
  }

  private take(line: Line): void {
    switch (line.event) {
      case 'height':
        this.height.value = line.height_cm;
        this.greatest.value = Math.max(this.greatest.value, line.height_cm);
        break;
      case 'rep':
        this.reps.value = [...this.reps.value.filter(rep => rep.n !== line.n), line].sort((a, b) => a.n - b.n);
        this.greatest.value = Math.max(this.greatest.value, line.height_cm);
        if (!this.end.value) this.low.value = this.reps.value.at(-1)?.low ?? false;
        break;
      case 'low-warning':
        soundLow();
        break;
      case 'set-end':
        if (line.why === 'low-height' || line.why === 'pause') this.sayEnd(line);
        else this.end.value = line;
        break;
      case 'set-end-final':
        this.end.value = line;
        break;
      case 'note':
        this.notes.value = [...this.notes.value, line].slice(-20);
        break;
      case 'failed':
        this.failed.value = line.error;
        break;
    }
  }

  private sayEnd(end: SetEnd): void {
    this.endSaid_s.value = (performance.now() - (this.recording?.startedAt() ?? 0)) / 1000;
    this.end.value = end;
    this.low.value = false;
    soundEnd();
    speak(t('live.voice-end', {n: end.count}));
  }
}
