import { Show } from 'solid-js';
import { useApp } from '../../kernel/app-context.ts';
import { storedName } from '../../kernel/case-storage.ts';

/** A case is worked on in one tab at a time: says that another one has it, and offers to move it here. */
export function ElsewhereBox() {
  const { desk, persistence } = useApp();
  const goOn = () => {
    desk.show('case');
    void persistence.takeOver();
  };
  return (
    <Show when={persistence.elsewhere()}>
      {(stored) => (
        <div class="notice" role="status">
          <span>
            {stored().demo ? 'The demo case' : `The case of ${storedName(stored())}`} is open in another tab.
            A case is worked on in one tab at a time, so that no tab writes over the other.
          </span>
          <span class="notice-actions">
            <button type="button" class="button small" onClick={goOn}>
              Go on here
            </button>
            <button type="button" class="button small quiet" onClick={() => persistence.leaveElsewhere()}>
              Leave it there
            </button>
          </span>
        </div>
      )}
    </Show>
  );
}
