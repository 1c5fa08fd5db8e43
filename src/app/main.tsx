import { render } from 'solid-js/web';
import { version } from '../../package.json';
import { nextTurn } from '../geometry/next-turn.ts';
import { App } from './App.tsx';
import './styles/tokens.css';
import './styles/base.css';
import './styles/layout.css';
import './styles/controls.css';
import './styles/worksheet.css';
import './styles/teeth.css';
import './styles/contacts.css';
import './styles/sizes.css';
import './styles/tables.css';
import './styles/closure.css';
import './styles/record.css';
import './styles/cases.css';
import './styles/print.css';

const host = document.getElementById('app');
if (!host) throw new Error('index.html has no element with the id "app".');
// Drawn in a turn after the one in which all of this was evaluated: both in one would be a task of 60 ms.
void nextTurn().then(() => render(() => <App version={version} />, host));
