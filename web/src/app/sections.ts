/** The sections of the workbench, in the order of the job. Each screen is fetched when first opened, but for the home. */
import type { Finding } from "@platewright/design";
import { type ComponentType, lazy } from "react";
import type { Session } from "../state/session.ts";
import { kindsOf } from "../sections/shelf/kinds.ts";
import { SUPPLY_RULE } from "../sections/supply/rules.ts";
import { ReworkScreen } from "../sections/rework/rework-screen.tsx";

export interface Section {
  readonly id: string;
  readonly title: string;
  readonly screen: ComponentType;
  /** Findings that are worked on there; the rail counts them. */
  readonly minds?: (finding: Finding) => boolean;
  /** Said beside it in the rail when nothing is to be minded. */
  readonly said?: (session: Session) => string;
  /** Parted from what stands before it in the rail. */
  readonly apart?: boolean;
}

const lazyScreen = (load: () => Promise<ComponentType>): ComponentType => lazy(async () => ({ default: await load() }));

export const SECTIONS: readonly Section[] = [
  { id: "rework", title: "Rework", screen: ReworkScreen, minds: () => true },
  {
    id: "circuit",
    title: "Circuit",
    screen: lazyScreen(async () => (await import("../sections/circuit/circuit-screen.tsx")).CircuitScreen),
    minds: ({ rule }) => /^(resistor-|capacitor-|grid-ohms|grid-stopper)/.test(rule),
  },
  {
    id: "curves",
    title: "Curves",
    screen: lazyScreen(async () => (await import("../sections/curves/curves-screen.tsx")).CurvesScreen),
  },
  {
    id: "voicing",
    title: "Voicing",
    screen: lazyScreen(async () => (await import("../sections/voicing/voicing-screen.tsx")).VoicingScreen),
    minds: ({ rule }) => /^(grid-onset|output-current|output-slew)/.test(rule),
  },
  {
    id: "supply",
    title: "Supply",
    screen: lazyScreen(async () => (await import("../sections/supply/supply-screen.tsx")).SupplyScreen),
    minds: ({ rule }) => SUPPLY_RULE.test(rule),
  },
  {
    id: "chassis",
    title: "Chassis",
    screen: lazyScreen(async () => (await import("../sections/chassis/chassis-screen.tsx")).ChassisScreen),
    minds: ({ rule }) => rule.startsWith("chassis-"),
  },
  {
    id: "pack",
    title: "Pack",
    screen: lazyScreen(async () => (await import("../sections/pack/pack-screen.tsx")).PackScreen),
    apart: true,
  },
  {
    id: "shelf",
    title: "Shelf",
    screen: lazyScreen(async () => (await import("../sections/shelf/shelf-screen.tsx")).ShelfScreen),
    said: ({ shelf }) => `${kindsOf(shelf.value)} kinds`,
    apart: true,
  },
  {
    id: "revisions",
    title: "Revisions",
    screen: lazyScreen(async () => (await import("../sections/revisions/revisions-screen.tsx")).RevisionsScreen),
  },
];

export const HOME = "rework";
