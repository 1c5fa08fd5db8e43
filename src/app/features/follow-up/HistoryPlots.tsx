import { createMemo, For, Show } from 'solid-js';
import { pairLabel } from '../../../report/contact-words.ts';
import { useApp } from '../../kernel/app-context.ts';
import { type ContactCourse, contactCourses } from '../../kernel/contact-courses.ts';
import type { HistoryEntry } from '../../kernel/create-follow-up.ts';

const WIDTH = 132;
const HEIGHT = 62;
const SIDE = 8;
const TOP = 6;
const FOOT = 6;

/** Every contact over the scans of the case, in small plots of one scale. */
export function HistoryPlots(props: { readonly history: readonly HistoryEntry[]; readonly limitMm: number }) {
  const { controller, preferences } = useApp();
  const { followUp } = controller;
  const missing = () => props.history.filter(({ analysis }) => analysis === null);
  const courses = createMemo(() => contactCourses(props.history));
  const topMm = () =>
    Math.max(
      props.limitMm * 1.5,
      ...courses().flatMap(({ places }) => places.map(({ highMm }) => highMm ?? 0)),
    );
  return (
    <Show when={props.history.length > 1}>
      <details class="history" open={props.history.length > 2}>
        <summary>Each contact over {props.history.length} scans</summary>
        <p class="quiet small">
          From left to right: {namesOf(props.history)}. Scale 0 to {topMm().toFixed(2)} mm; the line is the
          limit, a dot the space with its interval, an open bar what a web could hide, a cross a scan that
          says nothing of the contact.
        </p>
        <Show when={missing().length > 0}>
          <p class="warning-line">
            {namesOf(missing())} {missing().length === 1 ? 'is' : 'are'} not measured
            {followUp.job.state().kind === 'running' ? ' yet' : ''}: a cross stands at{' '}
            {missing().length === 1 ? 'its place' : 'their places'}.
          </p>
          <Show when={followUp.job.state().kind !== 'running'}>
            <div class="button-row">
              <button type="button" class="button" onClick={() => followUp.tryAgain()}>
                Measure {missing().length === 1 ? 'it' : 'them'} now
              </button>
            </div>
          </Show>
        </Show>
        <ul class="history-grid">
          <For each={courses()}>
            {(course) => (
              <li>
                <CoursePlot
                  course={course}
                  name={pairLabel(course.toothA, course.toothB, preferences.numbering())}
                  topMm={topMm()}
                  limitMm={props.limitMm}
                />
              </li>
            )}
          </For>
        </ul>
      </details>
    </Show>
  );
}

function namesOf(history: readonly HistoryEntry[]): string {
  return history.map(({ label }) => label).join(', ');
}

interface CoursePlotProps {
  readonly course: ContactCourse;
  readonly name: string;
  readonly topMm: number;
  readonly limitMm: number;
}

function CoursePlot(props: CoursePlotProps) {
  const y = (mm: number) => HEIGHT - FOOT - (Math.max(0, mm) / props.topMm) * (HEIGHT - FOOT - TOP);
  const x = (place: number) =>
    SIDE + (place / Math.max(1, props.course.places.length - 1)) * (WIDTH - 2 * SIDE);
  /** Joins neighbouring scans; where one gives no number, nothing is known of the way. */
  const way = () =>
    props.course.places
      .map(({ valueMm }, place) => {
        if (valueMm === null) return '';
        const before = props.course.places[place - 1]?.valueMm ?? null;
        return `${before === null ? 'M' : 'L'}${x(place)} ${y(valueMm)}`;
      })
      .join('');
  return (
    <figure class="course">
      <figcaption>{props.name}</figcaption>
      <svg viewBox={`0 0 ${WIDTH} ${HEIGHT}`} role="img" aria-label={`${props.name}: ${props.course.words}`}>
        <path class="course-ground" d={`M0 ${y(0)}H${WIDTH}`} />
        <path class="course-limit" d={`M0 ${y(props.limitMm)}H${WIDTH}`} />
        <path class="course-way" d={way()} />
        <For each={props.course.places}>
          {({ valueMm, lowMm, highMm }, place) => (
            <Show
              when={highMm !== null}
              fallback={<path class="course-none" d={`M${x(place()) - 3} ${y(0) - 9}l6 6m0 -6l-6 6`} />}
            >
              <Show
                when={valueMm !== null}
                fallback={
                  <rect
                    class="course-bound"
                    x={x(place()) - 3}
                    y={y(highMm ?? 0)}
                    width="6"
                    height={y(0) - y(highMm ?? 0)}
                  />
                }
              >
                <path class="course-whisker" d={`M${x(place())} ${y(lowMm ?? 0)}V${y(highMm ?? 0)}`} />
                <circle class="course-dot" cx={x(place())} cy={y(valueMm ?? 0)} r="2.2" />
              </Show>
            </Show>
          )}
        </For>
      </svg>
    </figure>
  );
}
