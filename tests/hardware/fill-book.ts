/** Fills the day book of a folder with a million crossings over ten years. */
import { fillTenYears } from '../bench/ten-years.ts';

fillTenYears(process.argv[2] ?? '', 1_000_000);
