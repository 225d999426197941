/** What a page may know of the workshop: the client, and the messages as types. No Node here, and no schema. */
export * from "./client.ts";
export type * from "./contract.ts";
