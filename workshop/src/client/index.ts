/** What a page may know of the workshop: the messages and the client that speaks them. No Node here. */
export * from "./client.ts";
export * from "./contract.ts";
