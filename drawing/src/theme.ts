import type { Role } from "./scene.ts";

export type ThemeName = "light" | "dark" | "print";

/** Colours of one theme, apart for graphics (3:1 on paper is enough) and for text (4.5:1). */
export interface Theme {
  readonly graphic: Readonly<Record<Role, string>>;
  readonly text: Readonly<Record<Role, string>>;
}

type Colours = Readonly<Record<Role, string>>;

const theme = (graphic: Colours, text: Partial<Colours>): Theme => ({ graphic, text: { ...graphic, ...text } });

/** Amber only says that something is being changed; red only says stop; watch is plain ink and ok is quiet ink. */
export const THEMES: Readonly<Record<ThemeName, Theme>> = {
  light: theme(
    {
      ink: "#1a1712",
      quiet: "#4a443a",
      faint: "#675f51",
      grid: "#e4ddce",
      rule: "#b3a994",
      hatch: "#c9bfab",
      band: "#ece5d6",
      paper: "#fcfaf5",
      proven: "#8a8170",
      now: "#1a1712",
      live: "#d17700",
      limit: "#1a1712",
      stop: "#9e1f17",
      watch: "#1a1712",
      ok: "#675f51",
    },
    { proven: "#675f51", live: "#8a4a00" },
  ),
  dark: theme(
    {
      ink: "#f1e9da",
      quiet: "#c9bfad",
      faint: "#a59b88",
      grid: "#332d24",
      rule: "#564c3d",
      hatch: "#4a4134",
      band: "#2a251c",
      paper: "#1a1712",
      proven: "#8f8573",
      now: "#f1e9da",
      live: "#ff9f1c",
      limit: "#f1e9da",
      stop: "#ff8b78",
      watch: "#f1e9da",
      ok: "#a59b88",
    },
    { proven: "#a59b88", live: "#ffb44d" },
  ),
  print: theme(
    {
      ink: "#000000",
      quiet: "#000000",
      faint: "#000000",
      grid: "#c8c8c8",
      rule: "#000000",
      hatch: "#808080",
      band: "#e8e8e8",
      paper: "#ffffff",
      proven: "#707070",
      now: "#000000",
      live: "#000000",
      limit: "#000000",
      stop: "#000000",
      watch: "#000000",
      ok: "#000000",
    },
    { proven: "#000000", grid: "#000000", hatch: "#000000", band: "#000000" },
  ),
};
