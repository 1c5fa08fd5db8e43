import { createUniqueId, onCleanup, Show } from 'solid-js';
import { spanWords } from '../../../report/answer-words.ts';
import { Choice } from '../../components/Choice.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { EXAGGERATIONS } from '../../kernel/create-playback.ts';

/** Plays the stages of the chosen span on the scan. */
export function StagePlayer() {
  const { playback, preferences } = useApp();
  const id = createUniqueId();
  const name = () => {
    const span = playback.span();
    return span ? spanWords(span.from, span.to, preferences.numbering()) : '';
  };
  onCleanup(() => playback.setStage(0));
  return (
    <Show when={playback.span() !== null && playback.stages() > 0}>
      <div class="player">
        <label for={id}>Stages over {name()} on the scan</label>
        <div class="player-row">
          <input
            id={id}
            type="range"
            min={0}
            max={playback.stages()}
            step={0.05}
            value={playback.stage()}
            aria-valuetext={`${playback.stage().toFixed(1)} of ${playback.stages()} stages`}
            onInput={(event) => playback.setStage(event.currentTarget.valueAsNumber)}
          />
          <output class="player-stage" for={id}>
            {playback.stage() === 0 ? 'as scanned' : `${playback.stage().toFixed(1)} of ${playback.stages()}`}
            {playback.stage() > 0 && playback.exaggeration() > 1 ? `, drawn ${playback.exaggeration()}×` : ''}
          </output>
        </div>
        <Choice
          label="Motions drawn"
          options={EXAGGERATIONS.map((value) => ({ value, text: value === 1 ? 'true' : `${value}×` }))}
          value={playback.exaggeration()}
          onChange={playback.setExaggeration}
        />
      </div>
    </Show>
  );
}
