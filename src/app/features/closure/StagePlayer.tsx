import { createUniqueId, onCleanup, Show } from 'solid-js';
import { spanWords } from '../../../report/answer-words.ts';
import { Choice } from '../../components/Choice.tsx';
import { useApp } from '../../kernel/app-context.ts';
import { EXAGGERATIONS } from '../../kernel/create-playback.ts';

const PLAY = 'M3 1.5 12 7 3 12.5Z';
const PAUSE = 'M3 2H6V12H3ZM8.5 2H11.5V12H8.5Z';

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
          <button
            type="button"
            class="button small player-button"
            aria-label={playback.playing() ? 'Pause the stages' : 'Play the stages'}
            onClick={() => playback.setPlaying(!playback.playing())}
          >
            <svg viewBox="0 0 14 14" aria-hidden="true">
              <path d={playback.playing() ? PAUSE : PLAY} />
            </svg>
            {playback.playing() ? 'Pause' : 'Play'}
          </button>
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
          label="Size of the motions on the scan"
          options={EXAGGERATIONS.map((value) => ({ value, text: value === 1 ? '1×, true' : `${value}×` }))}
          value={playback.exaggeration()}
          onChange={playback.setExaggeration}
        />
      </div>
    </Show>
  );
}
