// What a careful person would want to know of a result. The program writes it in English; in another language a note whose
// code is known is called by a short sentence of that language, the program's own below it.
import german from '../words/notes-de.json';
import {language} from '../kit/settings';
import {Notice} from '../kit/parts';
import {num, said} from '../kit/words';

interface Note {code: string; text: string; t_s: number | null}
const titles: Record<string, Record<string, string>> = {de: german};

function OneNote({note}: {note: Note}) {
  const title = titles[language.value]?.[note.code];
  const when = note.t_s === null ? '' : ` (${num(note.t_s, 1)} s)`;
  if (!title) return <li lang="en">{note.text}{when}</li>;
  return <li>{title}{when}<small lang="en">{note.text}</small></li>;
}

export const Notes = ({notes}: {notes: Note[]}) => (notes.length ? (
  <Notice tone="care">
    <h3>{said('notes.heading')}</h3>
    <ul class="notes">{notes.map((note, n) => <OneNote key={n} note={note} />)}</ul>
  </Notice>) : null);
