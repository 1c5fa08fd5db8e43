import { For, Show } from 'solid-js';
import { JobLine } from '../../components/JobLine.tsx';
import { useApp } from '../../kernel/app-context.ts';

/** What is being worked out, always in sight; failures are told in the sections. */
export function StageJobs() {
  const { controller } = useApp();
  const { segment, measure } = controller.results.jobs;
  const running = () =>
    [controller.openJob, segment, measure].filter((job) => job.state().kind === 'running');
  return (
    <Show when={running().length > 0}>
      <div class="stage-jobs">
        <For each={running()}>{(job) => <JobLine job={job} cancellable={job !== segment} />}</For>
      </div>
    </Show>
  );
}
