/** What the panels of the metal ask of the bench. */
export const metalAsks = {};
