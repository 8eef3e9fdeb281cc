export type FaultName = string;
