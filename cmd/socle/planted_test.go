package main

import (
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"
)

// planted is a repository that someone else has prepared: whatever of it starts a
// program leaves a mark.
type planted struct {
	t              *testing.T
	root           string
	mark, script   string
	calls          atomic.Int32 // to the machine's own address
	http, git, ssh string       // remotes there
}

// plant makes a repository of a scene with two commits: of the first, the scene is only
// to be had from a remote that promises it.
func plant(t *testing.T) *planted {
	if _, err := exec.LookPath("git"); err != nil {
		t.Skip("there is no git here")
	}
	if _, err := exec.LookPath("sh"); err != nil {
		t.Skip("there is no POSIX shell")
	}
	root, write := compareYard(t)
	away := t.TempDir()
	p := &planted{t: t, root: root, mark: filepath.Join(away, "mark"), script: filepath.Join(away, "script")}
	require.NoError(t, os.WriteFile(p.script, []byte("#!/bin/sh\necho \"$0 $*\" >> '"+p.mark+"'\nexit 1\n"), 0o777))
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	t.Cleanup(func() { listener.Close() })
	go func() {
		for {
			c, err := listener.Accept()
			if err != nil {
				return
			}
			p.calls.Add(1)
			c.Close()
		}
	}()
	p.http, p.git, p.ssh = "http://"+listener.Addr().String()+"/x", "git://"+listener.Addr().String()+"/x", "ssh://nobody@"+listener.Addr().String()+"/x"

	p.run("init", "-q")
	p.run("add", ".")
	p.run("commit", "-qm", "as it was")
	p.run("tag", "first")
	write("compare-yard.toml", "", "square = 20", "square = 22")
	p.run("commit", "-qam", "a wider one")
	blob := p.run("rev-parse", "first:compare-yard.toml")
	require.NoError(t, os.Remove(filepath.Join(root, ".git", "objects", blob[:2], blob[2:])))
	return p
}

func (p *planted) run(args ...string) string {
	cmd := command(p.t, "git", append([]string{"-C", p.root, "-c", "user.name=A Tester", "-c", "user.email=tester@example.invalid", "-c", "commit.gpgsign=false"}, args...)...)
	text, err := cmd.CombinedOutput()
	require.NoError(p.t, err, string(text))
	return strings.TrimSpace(string(text))
}

// promise appends to the configuration, with a remote that promises what is missing.
func (p *planted) promise(url, more string) {
	p.append("config", "[core]\n\trepositoryformatversion = 1\n[extensions]\n\tpartialClone = origin\n[remote \"origin\"]\n\tpromisor = true\n\turl = "+url+"\n"+more)
}

func (p *planted) append(name, text string) {
	path := filepath.Join(p.root, ".git", filepath.FromSlash(name))
	require.NoError(p.t, os.MkdirAll(filepath.Dir(path), 0o777))
	f, err := os.OpenFile(path, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o777)
	require.NoError(p.t, err)
	_, err = f.WriteString(text)
	require.NoError(p.t, err)
	require.NoError(p.t, f.Close())
}

// TestCompareStartsNothingOfARepository: for each key of a repository's configuration
// that can start a program or reach the network (git-config, gitattributes, githooks)
// and each variable of the environment (git), nothing is started, called or written,
// neither where the object is there nor where it is only promised.
func TestCompareStartsNothingOfARepository(t *testing.T) {
	t.Parallel()
	key := func(section, name string) func(*planted) {
		return func(p *planted) { p.promise(p.ssh, "["+section+"]\n\t"+name+" = "+p.script+"\n") }
	}
	attributes := func(attribute, section, name string) func(*planted) {
		return func(p *planted) {
			key(section, name)(p)
			p.append("info/attributes", "* "+attribute+"=planted\n")
		}
	}
	url := func(of func(*planted) string, more string) func(*planted) {
		return func(p *planted) { p.promise(of(p), strings.ReplaceAll(more, "SCRIPT", p.script)) }
	}
	ssh := func(p *planted) string { return p.ssh }
	http := func(p *planted) string { return p.http }
	cases := map[string]func(*planted){
		"core.sshCommand":             key("core", "sshCommand"),
		"core.fsmonitor":              key("core", "fsmonitor"),
		"core.pager":                  key("core", "pager"),
		"core.editor":                 key("core", "editor"),
		"core.askPass":                url(http, "[core]\n\taskPass = SCRIPT\n"),
		"core.alternateRefsCommand":   key("core", "alternateRefsCommand"),
		"core.gitProxy":               url(func(p *planted) string { return p.git }, "[core]\n\tgitProxy = SCRIPT\n"),
		"pager.cat-file":              key("pager", "cat-file"),
		"pager.rev-parse":             key("pager", "rev-parse"),
		"gpg.program":                 key("gpg", "program"),
		"gpg.ssh.program":             key(`gpg "ssh"`, "program"),
		"credential.helper":           url(http, "[credential]\n\thelper = \"!SCRIPT\"\n"),
		"uploadpack.packObjectsHook":  key("uploadpack", "packObjectsHook"),
		"filter.smudge":               attributes("filter", `filter "planted"`, "smudge"),
		"filter.clean":                attributes("filter", `filter "planted"`, "clean"),
		"filter.process":              attributes("filter", `filter "planted"`, "process"),
		"diff.textconv":               attributes("diff", `diff "planted"`, "textconv"),
		"diff.command":                attributes("diff", `diff "planted"`, "command"),
		"diff.external":               key("diff", "external"),
		"merge.driver":                attributes("merge", `merge "planted"`, "driver"),
		"alias":                       url(ssh, "[alias]\n\trev-parse = \"!SCRIPT\"\n\tcat-file = \"!SCRIPT\"\n"),
		"remote.uploadpack, by ssh":   url(ssh, "\tuploadpack = SCRIPT\n[core]\n\tsshCommand = sh -c\n"),
		"remote.uploadpack, a folder": url(func(p *planted) string { return p.root }, "\tuploadpack = SCRIPT\n"),
		"an ext address":              url(func(p *planted) string { return "ext::" + p.script }, "[protocol \"ext\"]\n\tallow = always\n"),
		"url.insteadOf an ext":        url(func(*planted) string { return "far:x" }, "[protocol \"ext\"]\n\tallow = always\n[url \"ext::SCRIPT \"]\n\tinsteadOf = far:\n"),
		"remote.vcs":                  url(ssh, "\tvcs = ext\n[protocol \"ext\"]\n\tallow = always\n"),
		"a remote by http":            url(http, ""),
		"a remote by git":             url(func(p *planted) string { return p.git }, ""),
		"a remote by ssh":             url(ssh, ""),
		"include.path": func(p *planted) {
			p.append("more", "[core]\n\tsshCommand = "+p.script+"\n")
			p.promise(p.ssh, "[include]\n\tpath = more\n")
		},
		"includeIf": func(p *planted) {
			p.append("more", "[core]\n\tsshCommand = "+p.script+"\n")
			p.promise(p.ssh, "[includeIf \"gitdir:/**\"]\n\tpath = more\n")
		},
		"core.hooksPath": func(p *planted) {
			p.promise(p.root, "[core]\n\thooksPath = "+filepath.Dir(p.script)+"\n")
			for _, hook := range []string{"post-checkout", "reference-transaction", "pre-auto-gc", "post-index-change"} {
				require.NoError(p.t, os.Link(p.script, filepath.Join(filepath.Dir(p.script), hook)))
			}
		},
		"hooks": func(p *planted) {
			p.promise(p.root, "")
			for _, hook := range []string{"post-checkout", "reference-transaction", "fsmonitor-watchman", "post-index-change"} {
				p.append("hooks/"+hook, "#!/bin/sh\n"+p.script+"\n")
			}
		},
		"core.worktree": func(p *planted) { key("core", "sshCommand")(p); p.append("config", "[core]\n\tworktree = /\n") },
		"config.worktree": func(p *planted) {
			p.promise(p.ssh, "[extensions]\n\tworktreeConfig = true\n")
			p.append("config.worktree", "[core]\n\tsshCommand = "+p.script+"\n")
		},
	}
	environment := func(p *planted, of func(*planted)) (all []string) {
		if of == nil { // its own turn
			all = []string{
				"GIT_SSH_COMMAND=" + p.script, "GIT_SSH=" + p.script, "GIT_PROXY_COMMAND=" + p.script, "GIT_ASKPASS=" + p.script, "SSH_ASKPASS=" + p.script,
				"GIT_PAGER=" + p.script, "GIT_EXTERNAL_DIFF=" + p.script, "GIT_EDITOR=" + p.script, "GIT_EXEC_PATH=" + filepath.Dir(p.script),
				"GIT_TRACE=" + p.mark, "GIT_TRACE2_EVENT=" + p.mark, "GIT_TRACE_SETUP=" + p.mark,
				"GIT_CONFIG_COUNT=1", "GIT_CONFIG_KEY_0=core.sshCommand", "GIT_CONFIG_VALUE_0=" + p.script, "GIT_ALLOW_PROTOCOL=ssh:ext:file",
			}
		}
		return append(os.Environ(), all...)
	}
	cases["the environment"] = nil
	for name, of := range cases {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			p := plant(t)
			if of != nil {
				of(p)
			} else {
				p.promise(p.ssh, "")
			}
			for revision, says := range map[string]string{"first": "revision first: ", "HEAD": "there is no file none.toml"} {
				// The second scene is not there: nothing is built.
				cmd := command(t, socle, "compare", "compare-yard.toml@"+revision, "none.toml")
				cmd.Env = environment(p, of)
				r := runCmd(t, cmd, p.root)
				require.Equal(t, exitFaulty, r.code, r.err)
				text, err := os.ReadFile(p.mark)
				require.ErrorIs(t, err, os.ErrNotExist, "%s was started: %s", name, text)
				require.Zero(t, p.calls.Load(), "the network was called")
				require.Contains(t, r.err, says)
			}
		})
	}
}

// TestCompareReadsTheRepositoryThatTheSceneLiesIn, whoever owns it, and no other: what
// the environment names, or a configuration that only git would obey, leads nowhere.
func TestCompareReadsTheRepositoryThatTheSceneLiesIn(t *testing.T) {
	t.Parallel()
	p, other := plant(t), plant(t)
	if os.Geteuid() == 0 {
		require.NoError(t, os.Chown(filepath.Join(p.root, ".git"), 12345, 12345))
		require.NoError(t, os.Chown(p.root, 12345, 12345))
	}
	p.append("config", "[core]\n\tworktree = /\n\tbare = true\n")
	other.run("tag", "elsewhere")
	read := func(revision string) string {
		cmd := command(t, socle, "compare", "compare-yard.toml@"+revision, "none.toml")
		cmd.Env = append(os.Environ(), "GIT_DIR="+filepath.Join(other.root, ".git"), "GIT_WORK_TREE="+other.root, "GIT_OBJECT_DIRECTORY="+filepath.Join(other.root, ".git", "objects"), "GIT_CEILING_DIRECTORIES=/")
		return runCmd(t, cmd, p.root).err
	}
	require.Contains(t, read("HEAD"), "there is no file none.toml")
	require.Contains(t, read("elsewhere"), `git knows no revision "elsewhere"`)
}
