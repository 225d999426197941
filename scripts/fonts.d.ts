declare module "subset-font" {
  interface SubsetOptions {
    readonly targetFormat?: "sfnt" | "woff" | "woff2";
    readonly keepFeatures?: readonly string[];
    readonly noHinting?: boolean;
    readonly variationAxes?: Readonly<
      Record<string, number | { readonly min: number; readonly max: number; readonly default?: number }>
    >;
  }
  function subsetFont(font: Buffer, text: string, options?: SubsetOptions): Promise<Buffer>;
  export = subsetFont;
}

declare module "fontverter" {
  const fontverter: { convert(font: Buffer, to: "truetype" | "woff2"): Promise<Buffer> };
  export = fontverter;
}
