import { expose, transfer } from 'comlink';
import { makeAnalysisService } from './analysis-service.ts';
import { installErrorTransfer } from './error-transfer-api.ts';

/** Entry point of the page's analysis worker. */
installErrorTransfer();
expose(makeAnalysisService((reply, buffers) => transfer(reply, buffers as ArrayBuffer[]), true));
