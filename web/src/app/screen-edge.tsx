import { Component, type ReactNode } from "react";

/**
 * What breaks while one screen is drawn stays on that screen: the others, undo and saving go on. A class, as React asks
 * for one here.
 */
export class ScreenEdge extends Component<{ readonly children: ReactNode }, { readonly failure: string | undefined }> {
  override state: { readonly failure: string | undefined } = { failure: undefined };

  static getDerivedStateFromError(error: unknown) {
    return { failure: error instanceof Error ? error.message : "unknown cause" };
  }

  override render() {
    const { failure } = this.state;
    if (failure === undefined) return this.props.children;
    return (
      <div className="waiting" role="alert">
        <p>This sheet could not be drawn ({failure}). Nothing is lost: undo the last edit, or open another section.</p>
        <p>
          <button type="button" className="button" onClick={() => this.setState({ failure: undefined })}>
            Draw it again
          </button>
        </p>
      </div>
    );
  }
}
