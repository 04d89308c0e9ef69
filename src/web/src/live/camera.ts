// The camera: asked for the most frames it gives, and what it gave.
export type CameraTrouble = 'insecure' | 'refused' | 'none' | 'busy' | 'unknown';

export interface Camera {stream: MediaStream; track: MediaStreamTrack; width: number; height: number; rate: number | null; name: string}

const troubleOf = (error: unknown): CameraTrouble => {
  switch (error instanceof DOMException ? error.name : '') {
    case 'NotAllowedError':
    case 'SecurityError':
      return 'refused';
    case 'NotFoundError':
    case 'OverconstrainedError':
      return 'none';
    case 'NotReadableError':
    case 'AbortError':
      return 'busy';
    default:
      return 'unknown';
  }
};

export async function openCamera(): Promise<Camera | CameraTrouble> {
  if (!isSecureContext || !navigator.mediaDevices?.getUserMedia) return 'insecure';
  try {
    const stream = await navigator.mediaDevices.getUserMedia({
      audio: false, video: {facingMode: 'environment', width: {ideal: 1280}, height: {ideal: 720}, frameRate: {ideal: 240}}});
    const track = stream.getVideoTracks()[0]!;
    const {width = 0, height = 0, frameRate} = track.getSettings();
    return {stream, track, width, height, rate: frameRate && frameRate > 0 ? frameRate : null, name: track.label};
  } catch (error) {
    return troubleOf(error);
  }
}

export const closeCamera = (camera: Camera | null): void => camera?.stream.getTracks().forEach(track => track.stop());
