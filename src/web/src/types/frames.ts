// Made from models/schema/frames.schema.json by `npm run types`.

export interface Frames {
  schema: 'risetrace/frames/1';
  frames: number;
  playback_fps: 30;
  width: number;
  height: number;
  scale: number;
  foot_size: null | number;
  foot: null | [number, number][];
}
