package main

import "github.com/spf13/cobra"

// shellCompletion adds cobra's completion verb, with examples to paste.
func shellCompletion(root *cobra.Command) {
	root.InitDefaultCompletionCmd("completion")
	verb, _, err := root.Find([]string{"completion"})
	if err != nil {
		panic(err) // cobra has just added it
	}
	verb.Short = "Print a script that completes socle's commands in a shell"
	verb.Example = `  source <(socle completion bash)
  socle completion zsh > "${fpath[1]}/_socle"
  socle completion fish > ~/.config/fish/completions/socle.fish
  socle completion powershell | Out-String | Invoke-Expression`
}
