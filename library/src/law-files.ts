/**
 * The laws that `npm run fit` wrote: one import per file of `library/laws`, each holding a list of records.
 * Written by that script. The data test fails when a file of that folder is not listed here.
 */
import law12AU7A from "../laws/12au7a.json" with { type: "json" };
import law12AX7A from "../laws/12ax7a.json" with { type: "json" };
import law12AT7 from "../laws/12at7.json" with { type: "json" };
import law12AY7 from "../laws/12ay7.json" with { type: "json" };
import law12BH7A from "../laws/12bh7a.json" with { type: "json" };
import law5751 from "../laws/5751.json" with { type: "json" };
import law5814A from "../laws/5814a.json" with { type: "json" };
import law5963 from "../laws/5963.json" with { type: "json" };
import law5687 from "../laws/5687.json" with { type: "json" };
import law7119 from "../laws/7119.json" with { type: "json" };
import law6DJ8 from "../laws/6dj8.json" with { type: "json" };
import law6922 from "../laws/6922.json" with { type: "json" };
import law6CG7 from "../laws/6cg7.json" with { type: "json" };
import law6BQ7A from "../laws/6bq7a.json" with { type: "json" };
import law6GU7 from "../laws/6gu7.json" with { type: "json" };
import law6N6P from "../laws/6n6p.json" with { type: "json" };
import law6N1P from "../laws/6n1p.json" with { type: "json" };
import law6SN7GT from "../laws/6sn7gt.json" with { type: "json" };
import law6SN7GTB from "../laws/6sn7gtb.json" with { type: "json" };
import law6SL7GT from "../laws/6sl7gt.json" with { type: "json" };
import law6EM7 from "../laws/6em7.json" with { type: "json" };
import law6080 from "../laws/6080.json" with { type: "json" };
import law6J5 from "../laws/6j5.json" with { type: "json" };
import law6C4 from "../laws/6c4.json" with { type: "json" };
import law76 from "../laws/76.json" with { type: "json" };
import law2A3 from "../laws/2a3.json" with { type: "json" };
import law300B from "../laws/300b.json" with { type: "json" };

export const LAW_FILES: readonly unknown[] = [
  law12AU7A,
  law12AX7A,
  law12AT7,
  law12AY7,
  law12BH7A,
  law5751,
  law5814A,
  law5963,
  law5687,
  law7119,
  law6DJ8,
  law6922,
  law6CG7,
  law6BQ7A,
  law6GU7,
  law6N6P,
  law6N1P,
  law6SN7GT,
  law6SN7GTB,
  law6SL7GT,
  law6EM7,
  law6080,
  law6J5,
  law6C4,
  law76,
  law2A3,
  law300B,
];
