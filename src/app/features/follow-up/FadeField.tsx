import { useApp } from '../../kernel/app-context.ts';

/** Fades the earlier scan, laid over on the teeth, over the new one in the view. */
export function FadeField() {
  const { followUp } = useApp().controller;
  return (
    <label class="fade-field">
      <span>new scan</span>
      <input
        type="range"
        min="0"
        max="1"
        step="0.05"
        value={followUp.fade()}
        aria-label="Share of the earlier scan in the view"
        onInput={(event) => followUp.setFade(event.currentTarget.valueAsNumber)}
      />
      <span>earlier scan</span>
    </label>
  );
}
