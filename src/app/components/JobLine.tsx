import { Match, Show, Switch } from 'solid-js';
import { errorIn } from '../../teeth/sentence-in.ts';
import { useApp } from '../kernel/app-context.ts';
import type { Job, JobState } from '../kernel/create-job.ts';
import { ErrorLine } from './ErrorLine.tsx';

interface JobLineProps {
  readonly job: Job;
  /** Shows a button that stops the work. */
  readonly cancellable?: boolean;
}

/** What a job is doing, with its progress and a way to stop it; or the sentence about why it failed. */
export function JobLine(props: JobLineProps) {
  const { preferences } = useApp();
  const running = () => as(props.job.state(), 'running');
  const failed = () => as(props.job.state(), 'failed');
  return (
    <Switch>
      <Match when={running()}>
        {(state) => (
          <div class="job-line">
            <span class="job-stage" role="status">
              {state().stage}
              <span aria-hidden="true"> …</span>
            </span>
            <Show
              when={state().fraction !== null}
              fallback={<progress class="job-bar" aria-label={state().stage} />}
            >
              <progress class="job-bar" max="1" value={state().fraction ?? 0} aria-label={state().stage} />
            </Show>
            <Show when={props.cancellable}>
              <button type="button" class="button small" onClick={() => props.job.cancel()}>
                Stop
              </button>
            </Show>
          </div>
        )}
      </Match>
      <Match when={failed()}>
        {(state) => (
          <ErrorLine
            sentence={errorIn(state().error, preferences.numbering())}
            onDismiss={() => props.job.clear()}
          />
        )}
      </Match>
    </Switch>
  );
}

function as<K extends JobState['kind']>(
  state: JobState,
  kind: K,
): Extract<JobState, { kind: K }> | undefined {
  return state.kind === kind ? (state as Extract<JobState, { kind: K }>) : undefined;
}
