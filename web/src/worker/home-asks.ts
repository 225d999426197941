/** Questions of the shell and of the home screen: what the first load of the worker brings. */
import { shellAsks } from "../app/asks.ts";
import { reworkAsks } from "../sections/rework/asks.ts";

export const HOME_ASKS = { ...shellAsks, ...reworkAsks };
